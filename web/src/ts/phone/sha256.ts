// SHA-256 (FIPS 180-4) of a text in UTF-8. The browser's own requires https; a clinic that tries Newel on a
// plain address needs receipts checked as well.

/**
 * The constants are the first 32 bits of the fractional parts of roots of the first primes, as in the
 * standard.
 */
function fraction(root: number): number {
  return ((root - Math.floor(root)) * 4294967296) | 0;
}

const primes: number[] = [];
for (let n = 2; primes.length < 64; n++) {
  if (primes.every((p) => n % p !== 0)) primes.push(n);
}
const K = primes.map((p) => fraction(Math.cbrt(p)));
const H = primes.slice(0, 8).map((p) => fraction(Math.sqrt(p)));

function rotate(x: number, by: number): number {
  return (x >>> by) | (x << (32 - by));
}

function padded(bytes: Uint8Array): DataView {
  const length = Math.ceil((bytes.length + 9) / 64) * 64;
  const view = new DataView(new ArrayBuffer(length));
  new Uint8Array(view.buffer).set(bytes);
  view.setUint8(bytes.length, 0x80);
  view.setUint32(length - 8, Math.floor(bytes.length / 0x20000000));
  view.setUint32(length - 4, (bytes.length << 3) >>> 0);
  return view;
}

function schedule(view: DataView, at: number): number[] {
  const w: number[] = [];
  for (let i = 0; i < 16; i++) w.push(view.getInt32(at + 4 * i));
  for (let i = 16; i < 64; i++) {
    const a = w[i - 15]!;
    const b = w[i - 2]!;
    const s0 = rotate(a, 7) ^ rotate(a, 18) ^ (a >>> 3);
    const s1 = rotate(b, 17) ^ rotate(b, 19) ^ (b >>> 10);
    w.push((w[i - 16]! + s0 + w[i - 7]! + s1) | 0);
  }
  return w;
}

function compress(state: number[], w: number[]): number[] {
  let [a, b, c, d, e, f, g, h] = state as [number, number, number, number, number, number, number, number];
  for (let i = 0; i < 64; i++) {
    const s1 = rotate(e, 6) ^ rotate(e, 11) ^ rotate(e, 25);
    const t1 = (h + s1 + ((e & f) ^ (~e & g)) + K[i]! + w[i]!) | 0;
    const s0 = rotate(a, 2) ^ rotate(a, 13) ^ rotate(a, 22);
    const t2 = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [a, b, c, d, e, f, g, h] = [(t1 + t2) | 0, a, b, c, (d + t1) | 0, e, f, g];
  }
  return [a, b, c, d, e, f, g, h].map((x, i) => (x + state[i]!) | 0);
}

/** The SHA-256 of a text or of bytes in lower-case hex. */
export function sha256(of: string | Uint8Array): string {
  const view = padded(typeof of === "string" ? new TextEncoder().encode(of) : of);
  let state = H;
  for (let at = 0; at < view.byteLength; at += 64) state = compress(state, schedule(view, at));
  return state.map((x) => (x >>> 0).toString(16).padStart(8, "0")).join("");
}
