// Milliseconds since a session began, on a monotonic clock.

export class Clock {
  private readonly zero = performance.now();

  constructor(
    private readonly base = 0,
    /** Whether it has run since the very start, without the page having been closed. */
    readonly unbroken = true,
  ) {}

  now(): number {
    return Math.max(0, Math.round(this.base + performance.now() - this.zero));
  }
}
