// Two taps of a trembling hand are one; two taps of a quick one are two.

/** Two taps of the same answer within this many ms are one. */
export const SAME_WITHIN = 300;

/** Decides which taps count. */
export class Taps {
  private last: { what: unknown; at: number } | undefined;

  /**
   * Whether a tap counts: one of another answer than the tap before, or at least SAME_WITHIN ms after it. Taps that did
   * not count are not "before". at: in ms, on one clock.
   */
  counts(what: unknown, at: number): boolean {
    const { last } = this;
    if (last && last.what === what && at >= last.at && at - last.at < SAME_WITHIN) return false;
    this.last = { what, at };
    return true;
  }
}
