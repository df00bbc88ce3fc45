// Which face records a step, and where it is.

import type { Header, Kit } from "../contract";
import type { FaceModule } from "./face";

/** Each face in a file of its own, which only a phone that needs it loads. */
const FACES: Record<string, () => Promise<{ face: FaceModule }>> = {
  rail: () => import("./rail"),
  typed: () => import("./typed"),
  latency: () => import("./latency"),
  recovery: () => import("./recovery"),
  expectations: () => import("./expectations"),
  chain: () => import("./chain"),
  count: () => import("./count"),
  duration: () => import("./duration"),
  intervals: () => import("./intervals"),
};

/** Whether individual answers are tapped. */
export const byTrial = (kit: Kit): boolean => !["count", "duration", "intervals"].includes(kit.measure);

/** Whether a step says what its intervals are; steps published before they could are typed. */
const known = (kit: Kit): boolean => kit.measure !== "intervals" || (kit.interval_kind !== undefined && (kit.interval_seconds ?? 0) > 0 && (kit.intervals ?? 0) > 0);

/** The name of the face that records a step: also the name of its part of the page. */
export function faceName(kit: Kit, how: Header["how"]["value"] = "live"): string {
  const own = how === "live" && known(kit) ? kit.measure : "";
  if (FACES[own] !== undefined) return own;
  return byTrial(kit) ? "rail" : "typed";
}

/** Loads a face. It fails if the file is neither on the phone nor reachable. */
export async function loadFace(name: string): Promise<FaceModule> {
  return (await FACES[name]!()).face;
}

/** Loads the faces of these kits ahead, so that they are there when the signal is not. */
export function loadAhead(kits: Kit[]): void {
  const names = new Set(kits.reduce<string[]>((all, kit) => [...all, faceName(kit), faceName(kit, "afterwards")], []));
  names.forEach((name) => void loadFace(name).catch(() => undefined));
}
