// What a family's phone shows of a step, for its author: the phone's own pages in three inert frames.

import type { DayOffer, Kit, PictureRef } from "./contract";
import { Pictures } from "./pictures";
import { faceName, loadFace } from "./face/faces";
import { recorderPage, withFace } from "./recorderpage";
import { teachPage } from "./later/teach";
import { nextCard } from "./today";
import { fill } from "./words";

/** Pictures from the server: nothing is stored here. */
class Served extends Pictures {
  override img(ref: PictureRef | undefined): HTMLImageElement[] {
    if (!ref) return [];
    const img = document.createElement("img");
    img.className = "picture";
    img.alt = ref.alt;
    img.src = "/phone/pictures/" + ref.sha256;
    return [img];
  }
}

async function recorder(kit: Kit, pictures: Pictures): Promise<HTMLElement> {
  const root = recorderPage(kit, { placement: kit.placement, changed: false, ended: false, wanting: [] });
  const shown = faceName(kit);
  withFace(root, await loadFace(shown), kit, "teaching");
  root.querySelectorAll<HTMLElement>("[data-part]").forEach((e) => (e.hidden = !(e.dataset.part ?? "").split(" ").includes(shown)));
  const first = kit.targets[0];
  const card = first ? [...pictures.img(first.picture), document.createTextNode(kit.targets.length > 1 ? first.card || first.name : "")] : [];
  root.querySelectorAll<HTMLElement>("[data-card]").forEach((e) => {
    e.hidden = kit.held === true;
    fill(e, card);
  });
  root.querySelectorAll<HTMLElement>("[data-press]").forEach((e) => (e.hidden = kit.held !== true));
  return root;
}

async function show(main: HTMLElement): Promise<void> {
  const kit = JSON.parse(main.dataset.kit ?? "") as Kit;
  const offer = JSON.parse(main.dataset.offer ?? "") as DayOffer;
  const pictures = new Served();
  const pages: Record<string, Node> = {
    today: nextCard(offer, "", false, () => undefined),
    teach: teachPage(kit, { placement: kit.placement, rests: false, ended: false, changed: false, first: "", read: undefined, whole: true }, pictures),
    recorder: await recorder(kit, pictures),
  };
  main.querySelectorAll<HTMLElement>("[data-frame]").forEach((frame) => {
    const page = pages[frame.dataset.frame ?? ""];
    if (page) fill(frame, [page]);
  });
}

const main = document.querySelector<HTMLElement>("[data-kit]");
if (main) void show(main);
