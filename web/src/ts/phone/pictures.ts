// The pictures of kits: fetched ahead into the account's own store and shown from there. They are in no
// cache, and are deleted when the account leaves.

import type { Kit, PictureRef } from "./contract";
import { picturesOf } from "./keep";
import type { Keep } from "./keep";
import { sha256 } from "./sha256";

/** Fetches missing pictures. Failed ones are requested again with the next day. */
export async function fetchPictures(keep: Keep): Promise<void> {
  for (const name of await keep.missingPictures()) {
    try {
      const response = await fetch("/phone/pictures/" + name, { credentials: "same-origin", cache: "no-store", redirect: "error" });
      if (!response.ok) continue;
      const bytes = await response.arrayBuffer();
      // A network's sign-in page also answers 200.
      if (sha256(new Uint8Array(bytes)) === name) await keep.putPicture(name, { type: response.headers.get("Content-Type") ?? "", bytes });
    } catch {
      return; // no signal
    }
  }
}

/** The pictures of one kit, ready to show. */
export class Pictures {
  private readonly urls = new Map<string, string>();

  async open(keep: Keep, kit: Kit): Promise<void> {
    for (const { sha256: name } of picturesOf(kit)) {
      const blob = await keep.picture(name);
      if (blob) this.urls.set(name, URL.createObjectURL(blob));
    }
  }

  /** A picture; nothing if it is not here: the words beside it say the same. */
  img(ref: PictureRef | undefined): HTMLImageElement[] {
    const url = ref && this.urls.get(ref.sha256);
    if (!ref || !url) return [];
    const img = document.createElement("img");
    img.className = "picture";
    img.alt = ref.alt;
    img.src = url;
    return [img];
  }

  close(): void {
    this.urls.forEach((url) => URL.revokeObjectURL(url));
    this.urls.clear();
  }
}
