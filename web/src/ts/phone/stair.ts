// The small stairway of one flight, 24 high, with the same measures as on the server (internal/chart).

import type { DayStep } from "./contract";

const NS = "http://www.w3.org/2000/svg";
const GROUND = 23;
const BASE = GROUND - 1;

const half = (x: number): number => Math.round(x * 2) / 2;
const box = (x: number, y: number, w: number, h: number): string => `M${x} ${y}h${w}v${h}h${-w}z`;

/** The paths of a stairway by class, back to front. */
export function stairPaths(steps: DayStep[], here: number): { width: number; paths: [string, string][] } {
  const n = steps.length;
  const going = n <= 5 ? 9 : n <= 7 ? 7 : 6;
  const rise = Math.min(3, 15 / Math.max(1, n));
  const left = (i: number): number => 1 + i * going;
  const top = (i: number): number => (i < 0 ? GROUND : half(BASE - rise * (i + 1)));
  const rail = (x: number): number => BASE - rise * ((x - 1) / going + 0.5) - 4.5;
  let open = "", ink = "", well = "", line = "", tread = "", posts = "", rails = "", newel = "";
  steps.forEach((_, i) => {
    const x = left(i), y = top(i);
    if (i < here) ink += box(x, y, going + 0.3, GROUND - y);
    if (i === here) {
      well += box(x, y, going, GROUND - y);
      line += `M${x + 0.5} ${y}V${GROUND}M${x + going - 0.5} ${y}V${GROUND}`;
      tread += box(x, y - 1, going, 2.5);
      newel += box(x + going / 2 - 1.5, y - 6, 3, 6) + box(x + going / 2 - 2.5, y - 7.5, 5, 1.5);
    }
    if (i > here) {
      const last = i === n - 1;
      open += `M${x + 0.5} ${top(i - 1)}V${y + 0.5}H${x + going - (last ? 0.5 : 0)}` + (last ? `V${GROUND}` : "");
    }
  });
  for (let from = 0; from < n; from++) {
    if (!steps[from]!.help) continue;
    let to = from;
    while (to + 1 < n && steps[to + 1]!.help) to++;
    const end = to === here ? left(to) + going / 2 : left(to) + going;
    rails += `M${left(from)} ${rail(left(from))}L${end} ${rail(end)}`;
    for (let i = from; i <= to; i++) {
      const x = left(i) + going / 2;
      if (x <= end && i !== here) posts += `M${x} ${top(i)}V${rail(x)}`;
    }
    from = to;
  }
  line += `M0 ${GROUND + 0.5}H${n * going + 2}`;
  return { width: n * going + 4, paths: [["d-open", open], ["d-ink", ink], ["d-well", well], ["d-line", line], ["d-ink", tread], ["d-line", posts], ["d-rail", rails], ["d-ink", newel]] };
}

/** Draws it; name is the accessible name. */
export function stair(steps: DayStep[], here: number, name: string): SVGElement {
  const { width, paths } = stairPaths(steps, here);
  const svg = document.createElementNS(NS, "svg");
  const set = (e: Element, attributes: Record<string, string>): void => Object.keys(attributes).forEach((k) => e.setAttribute(k, attributes[k]!));
  set(svg, { class: "stair turns", width: String(width), height: "24", viewBox: `0 0 ${width} 24`, role: "img", "aria-label": name });
  paths.forEach(([kind, d]) => {
    if (d === "") return;
    const path = document.createElementNS(NS, "path");
    set(path, { class: kind, d });
    svg.appendChild(path);
  });
  return svg;
}
