// Sealing: afterward only the server can read a session (docs/phone.md). A fresh key for every session.

import type { SealKey } from "./contract";

export const SEALED_MEDIA_TYPE = "application/vnd.newel.sealed+json";

/** Whether this page can seal: browsers provide cryptography only on secure addresses. */
export const canSeal = (): boolean => typeof crypto !== "undefined" && (crypto as { subtle?: unknown }).subtle !== undefined;

function base64url(bytes: Uint8Array): string {
  let text = "";
  for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
  return btoa(text).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
}

/** Seals a document; returns exactly what is sent. */
export const seal = async (body: string, id: string, to: SealKey): Promise<string> => (await sealer(id, to))(body);

/** The key that both sides of a sealing derive from what they share. */
export async function keyOf(shared: ArrayBuffer, epk: BufferSource, use: "encrypt" | "decrypt"): Promise<CryptoKey> {
  const stretch = await crypto.subtle.importKey("raw", shared, "HKDF", false, ["deriveKey"]);
  const how = { name: "HKDF", hash: "SHA-256", salt: epk, info: new TextEncoder().encode("newel-sealed-1") };
  return crypto.subtle.deriveKey(how, stretch, { name: "AES-GCM", length: 256 }, false, [use]);
}

/** Returns a function that seals a session as often as it changes: with one key, and a new iv each time. */
export async function sealer(id: string, to: SealKey): Promise<(body: string) => Promise<string>> {
  const curve = { name: "ECDH", namedCurve: "P-256" };
  const text = new TextEncoder();
  const theirs = await crypto.subtle.importKey("jwk", { kty: to.kty, crv: to.crv, x: to.x, y: to.y }, curve, false, []);
  const ours = (await crypto.subtle.generateKey(curve, false, ["deriveBits"])) as CryptoKeyPair;
  const epk = new Uint8Array(await crypto.subtle.exportKey("raw", ours.publicKey));
  const shared = await crypto.subtle.deriveBits({ name: "ECDH", public: theirs }, ours.privateKey, 256);
  const key = await keyOf(shared, epk, "encrypt");
  return async (body) => {
    const iv = crypto.getRandomValues(new Uint8Array(12));
    const data = await crypto.subtle.encrypt({ name: "AES-GCM", iv, additionalData: text.encode(id) }, key, text.encode(body));
    return JSON.stringify({ contract: 1, id, key: to.kid, epk: base64url(epk), iv: base64url(iv), data: base64url(new Uint8Array(data)) });
  };
}
