// The order of a session's trials: the counterpart of internal/compute/sequence, which explains why and how.
// The same question returns the same order in both, line by line: change both together. A file of examples
// tests them against each other.

export interface Question {
  targets: string[];
  trials: number;
  rule: "massed" | "blocked" | "rotation";
  block?: number;
  known?: string[];
  known_share?: number; // percent, at most two decimal places
  positions?: number;
  max_same?: number;
  seed: string; // the digits of a 64-bit whole number
}

export interface Trial {
  target: string;
  position: number | null; // from 1
}

/** What the order of a session depends on. */
export interface Ordered {
  seed: string;
  order?: { rule: string; block: number; max_same: number; known_share?: number };
  choices?: number;
}

const ANY = "-"; // for a step without targets

/**
 * The trials of one session in the order of the step's rule, with known targets interspersed if it has a
 * share of them, and the position of the right answer if there is a choice; the targets as listed if there is
 * no rule or it cannot be satisfied. Each session has its own order: its seed is the kit's seed xor the last
 * 64 bits of the session's id.
 */
export function sessionOrder(kit: Ordered, targets: string[], trials: number, session: string, known: string[] = []): Trial[] {
  const plain = targets.map((target) => ({ target, position: null }));
  const rule = kit.order?.rule;
  if (rule !== "massed" && rule !== "blocked" && rule !== "rotation") return plain;
  try {
    const id = BigInt(`0x${session.split("-").join("").slice(-16)}`);
    const names = targets.length > 0 ? targets : [ANY];
    const q: Question = { targets: names, trials: Math.max(trials, names.length), rule: names.length === 1 ? "massed" : rule, seed: String(BigInt(kit.seed) ^ id) };
    if (q.rule === "blocked") q.block = kit.order?.block || 1;
    if (kit.order?.max_same) q.max_same = kit.order.max_same;
    if ((kit.choices ?? 0) >= 2) q.positions = kit.choices!;
    const share = rule === "rotation" && known.length > 0 ? (kit.order?.known_share ?? 0) : 0;
    const order = (share > 0 && mixed(q, known, share)) || made(q) || plain;
    return order.map((t) => ({ ...t, target: t.target === ANY ? "" : t.target }));
  } catch {
    return plain; // an order must never prevent recording
  }
}

function made(q: Question): Trial[] | undefined {
  try {
    return makeOrder(q);
  } catch {
    return undefined;
  }
}

/**
 * With known targets. A target taught alone may repeat as often as its share requires; positions are then
 * drawn separately.
 */
function mixed(q: Question, known: string[], known_share: number): Trial[] | undefined {
  const all: Question = { ...q, rule: "rotation", known, known_share };
  const strict = made(all);
  if (strict) return strict;
  const { positions, ...loose } = all;
  const order = made({ ...loose, max_same: q.trials });
  const { block: _, ...alone } = q;
  const places = positions && made({ ...alone, targets: [ANY], rule: "massed" });
  return order?.map((t, i) => ({ ...t, position: places ? places[i]!.position : null }));
}

const DEFAULT_MAX_SAME = 2;
const MAX_TRIALS = 1000;
const MAX_TARGETS = 50;
const MAX_POSITIONS = 20;
const WHOLE_SHARE = 100 * 100; // hundredths of a percent
const ATTEMPTS = 50;

/** What cannot be satisfied, and the field that requires it. */
export class OrderError extends Error {
  constructor(
    readonly path: string,
    why: string,
  ) {
    super(`${path}: ${why}`);
  }
}

/** The order; throws an OrderError if there is none. */
export function makeOrder(q: Question): Trial[] {
  const most = q.max_same ?? DEFAULT_MAX_SAME;
  const places = q.positions ?? 0;
  check(q, most, places);
  const r = new Random(q.seed);
  const names = [...q.targets, ...(q.known ?? [])];
  for (let attempt = 0; ; attempt++) {
    const order = targetsOf(q, most, r);
    if (places === 0) return order.map((t) => ({ target: names[t]!, position: null }));
    const at = place(order, names.length, places, most, r);
    if (at !== null) return order.map((t, i) => ({ target: names[t]!, position: at[i]! + 1 }));
    if (attempt === ATTEMPTS) throw new OrderError("max_same", "no order was found in which positions change at every trial and are not tied to targets");
  }
}

function check(q: Question, most: number, places: number): void {
  const known = q.known ?? [];
  const wrong = (bad: boolean, path: string, why: string): void => {
    if (bad) throw new OrderError(path, why);
  };
  const whole = (n: number, least: number, limit: number): boolean => Number.isInteger(n) && n >= least && n <= limit;
  wrong(known.length > 0 && q.known_share === undefined, "known_share", "set the percentage of trials with known targets");
  wrong(!whole(q.trials, 1, MAX_TRIALS), "trials", "must be from 1 to 1000");
  wrong(!whole(hundredths(q), 0, WHOLE_SHARE), "known_share", "must be from 0 to 100 percent");
  wrong(places !== 0 && !whole(places, 2, MAX_POSITIONS), "positions", "must be from 2 to 20");
  wrong(!whole(most, 1, Number.MAX_SAFE_INTEGER), "max_same", "must be 1 or more");
  wrong(q.targets.length === 0, "targets", "must name one or more");
  const seen: string[] = [];
  for (const [field, list] of [["targets", q.targets], ["known", known]] as const) {
    wrong(list.length > MAX_TARGETS, field, "must have at most 50 entries");
    list.forEach((name, i) => {
      wrong(name.trim() === "", `${field}[${i}]`, "must not be empty");
      wrong(seen.includes(name), `${field}[${i}]`, "is there twice");
      seen.push(name);
    });
  }
  wrong(!["massed", "blocked", "rotation"].includes(q.rule), "rule", "is not one of massed, blocked and rotation");
  wrong(q.rule === "massed" && q.targets.length !== 1, "targets", "massed trials have one target");
  wrong(q.rule === "blocked" && !whole(q.block ?? 0, 1, Number.MAX_SAFE_INTEGER), "block", "set how many trials of a target form a block");
  wrong(q.rule !== "blocked" && (q.block ?? 0) !== 0, "block", "only blocked trials have a block");
  wrong(q.rule !== "rotation" && known.length > 0, "known", "known targets are interspersed only in a rotation");
  wrong(known.length === 0 && hundredths(q) > 0, "known", "name known targets or omit known_share");
}

function hundredths(q: Question): number {
  return Math.round((q.known_share ?? 0) * 100);
}

/** The order of targets, as indices into targets and known combined. */
function targetsOf(q: Question, most: number, r: Random): number[] {
  const trials = Array.from({ length: q.trials }, (_, i) => i);
  if (q.rule === "massed") return trials.map(() => 0);
  const block = q.block ?? 1;
  if (q.rule === "blocked") return trials.map((i) => Math.floor(i / block) % q.targets.length);
  const share = Math.floor((2 * hundredths(q) * q.trials + WHOLE_SHARE) / (2 * WHOLE_SHARE));
  const known = spread(q.trials, share, r);
  const taught = arrange("targets", q.targets.length, runs(known, false), most, r);
  const familiar = arrange("known", q.known?.length ?? 0, runs(known, true), most, r);
  let i = 0;
  let j = 0;
  return known.map((isKnown) => (isKnown ? q.targets.length + familiar[j++]! : taught[i++]!));
}

/** Which trials are known ones. */
function spread(trials: number, known: number, r: Random): boolean[] {
  let rare = known;
  let isKnown = true;
  if (trials - known < known) {
    rare = trials - known;
    isKnown = false;
  }
  const out: boolean[] = [];
  shareOut(trials - rare, rare + 1, r).forEach((length, i) => {
    if (i > 0) out.push(isKnown);
    for (let n = 0; n < length; n++) out.push(!isKnown);
  });
  return out;
}

function shareOut(whole: number, parts: number, r: Random): number[] {
  const out = new Array<number>(parts).fill(Math.floor(whole / parts));
  for (const i of r.some(whole % parts, parts)) out[i]!++;
  return out;
}

/** The lengths of the unbroken stretches of one kind. */
function runs(known: boolean[], kind: boolean): number[] {
  const out: number[] = [];
  known.forEach((k, i) => {
    if (k !== kind) return;
    if (i > 0 && known[i - 1] === kind) out[out.length - 1]!++;
    else out.push(1);
  });
  return out;
}

const total = (list: number[]): number => list.reduce((sum, n) => sum + n, 0);

/** sfc32: the same numbers as in Go. */
class Random {
  private a: number;
  private b: number;
  private c = 0x9e3779b9 | 0;
  private counter = 1;

  constructor(seed: string) {
    if (!/^[0-9]+$/.test(seed) || BigInt(seed) >= 1n << 64n) throw new OrderError("seed", "must be the digits of a whole number of 64 bits");
    const bits = BigInt(seed);
    this.a = Number(bits & 0xffffffffn) | 0;
    this.b = Number(bits >> 32n) | 0;
    for (let i = 0; i < 16; i++) this.next();
  }

  next(): number {
    const out = (this.a + this.b + this.counter) | 0;
    this.counter = (this.counter + 1) | 0;
    this.a = this.b ^ (this.b >>> 9);
    this.b = (this.c + (this.c << 3)) | 0;
    this.c = (((this.c << 21) | (this.c >>> 11)) + out) | 0;
    return out >>> 0;
  }

  below(n: number): number {
    const limit = Math.floor(2 ** 32 / n) * n;
    for (;;) {
      const v = this.next();
      if (v < limit) return v % n;
    }
  }

  fraction(): number {
    const high = this.next() >>> 5;
    const low = this.next() >>> 6;
    return (high * 2 ** 26 + low) / 2 ** 53;
  }

  some(n: number, of: number): number[] {
    const all = Array.from({ length: of }, (_, i) => i);
    for (let i = 0; i < n; i++) {
      const j = i + this.below(of - i);
      [all[i], all[j]] = [all[j]!, all[i]!];
    }
    return all.slice(0, n);
  }
}

const MAX_STATES = 10_000;

/** An order of the targets 0, 1, … over stretches of the given lengths. */
function arrange(field: string, targets: number, lengths: number[], most: number, r: Random): number[] {
  const trials = total(lengths);
  if (trials === 0) return [];
  if (targets === 1) {
    const longest = Math.max(...lengths);
    if (longest > most) throw new OrderError(field, `one target alone would occur ${longest} times in a row`);
    return new Array<number>(trials).fill(0);
  }
  const starts = new Array<boolean>(trials + 1).fill(false);
  let at = 0;
  for (const length of lengths) {
    starts[at] = true;
    at += length;
  }
  const a = new Arrangement(most, starts, r);
  const each = Math.floor(trials / targets);
  const round = largestRound(targets, each, most);
  const rounds = Math.max(1, Math.ceil(each / round));
  for (let i = 0; i < rounds; i++) {
    const left = new Array<number>(targets).fill(i === 0 ? each - round * (rounds - 1) : round);
    if (i === 0) for (const t of r.some(trials % targets, targets)) left[t]!++;
    a.draw(left);
  }
  return a.order;
}

function largestRound(targets: number, each: number, most: number): number {
  let ways = targets + 1;
  let n = 1;
  while (n < each) {
    const next = Math.floor((ways * (targets + n + 1)) / (n + 1));
    if (next * (n + 2) * Math.min(most, n + 1) > MAX_STATES) break;
    ways = next;
    n++;
  }
  return n;
}

class Arrangement {
  readonly order: number[] = [];
  private last = -1;
  private run = 0;
  private many: number[] = [];
  private table = new Map<string, number>();

  constructor(
    private readonly most: number,
    private readonly starts: boolean[],
    private readonly r: Random,
  ) {}

  draw(left: number[]): void {
    this.many = new Array<number>(Math.max(...left) + 1).fill(0);
    for (const n of left) this.many[n]!++;
    this.table.clear();
    for (let trials = total(left); trials > 0; trials--) {
      const at = this.order.length;
      if (this.starts[at]) {
        this.last = -1;
        this.run = 0;
      }
      const t = this.choose(at, left, this.last >= 0 ? left[this.last]! : -1);
      if (t === this.last) this.run++;
      else {
        this.last = t;
        this.run = 1;
      }
      this.many[left[t]!]!--;
      left[t]!--;
      this.many[left[t]!]!++;
      this.order.push(t);
    }
  }

  private choose(at: number, left: number[], lastLeft: number): number {
    let sum = 0;
    const weights = this.many.map((_, c) => {
      const w = c === 0 ? this.again(at, lastLeft, this.run) : this.other(at, c, lastLeft);
      sum += w;
      return w;
    });
    let u = this.r.fraction() * sum;
    let chosen = -1;
    for (const [c, w] of weights.entries()) {
      if (w === 0) continue;
      chosen = c;
      u -= w;
      if (u < 0) break;
    }
    if (chosen === 0) return this.last;
    let nth = this.r.below(this.others(chosen, lastLeft));
    return left.findIndex((n, t) => n === chosen && t !== this.last && nth-- === 0);
  }

  private others(c: number, lastLeft: number): number {
    return c === lastLeft ? this.many[c]! - 1 : this.many[c]!;
  }

  private other(at: number, c: number, lastLeft: number): number {
    const n = this.others(c, lastLeft);
    return n === 0 ? 0 : n * this.after(at, c, 1);
  }

  private again(at: number, lastLeft: number, run: number): number {
    return lastLeft < 1 || run >= this.most ? 0 : this.after(at, lastLeft, run + 1);
  }

  private after(at: number, c: number, run: number): number {
    this.many[c]!--;
    this.many[c - 1]!++;
    const n = this.ways(at + 1, c - 1, run);
    this.many[c]!++;
    this.many[c - 1]!--;
    return n;
  }

  private ways(at: number, lastLeft: number, run: number): number {
    if (this.many[0] === total(this.many)) return 1;
    if (this.starts[at]) {
      lastLeft = -1;
      run = 0;
    }
    if (lastLeft === 0) run = 0;
    const key = `${this.many.join()},${lastLeft},${run}`;
    const known = this.table.get(key);
    if (known !== undefined) return known;
    let sum = this.again(at, lastLeft, run);
    for (let c = 1; c < this.many.length; c++) sum += this.other(at, c, lastLeft);
    this.table.set(key, sum);
    return sum;
  }
}

/**
 * The position of the right answer for each trial; null if positions must change at every trial and no valid
 * order was found.
 */
function place(order: number[], targets: number, places: number, most: number, r: Random): number[] | null {
  if (places === 2 && most === 1) return alternate(order, targets, r);
  const p = new Placing(order, targets, places, most, r);
  p.colour();
  const repairs = most > 1 ? 0 : 100 * order.length;
  for (let n = 0; n < repairs && p.excess() > 0; n++) p.exchange((_i, _j, before) => p.excess() <= before);
  if (p.excess() > 0) return null;
  for (let n = 0; n < 20 * order.length; n++) p.exchange((i, j) => p.runAt(i) <= most && p.runAt(j) <= most);
  return p.at;
}

/** Two positions in alternation; null if that ties them to targets. */
function alternate(order: number[], targets: number, r: Random): number[] | null {
  const first = r.below(2);
  const lead = new Array<number>(targets).fill(0);
  const at = order.map((t, i) => {
    lead[t]! += 1 - 2 * (i % 2);
    return (first + i) % 2;
  });
  return lead.every((n) => n >= -1 && n <= 1) ? at : null;
}

type Side = 0 | 1;

class Placing {
  readonly at: number[];
  private readonly block: [number[], number[]] = [[], []];
  private readonly inBlock: [number[][], number[][]] = [[], []];
  private readonly count: number[][];
  private readonly often: number[];

  constructor(
    private readonly order: number[],
    targets: number,
    private readonly places: number,
    private readonly most: number,
    private readonly r: Random,
  ) {
    this.at = order.map(() => -1);
    this.often = new Array<number>(targets).fill(0);
    this.count = this.often.map(() => new Array<number>(places).fill(0));
    const none = (): number[] => new Array<number>(places).fill(-1);
    const numbers = new Map<string, number>();
    order.forEach((t, i) => {
      const own = `${t},${Math.floor(this.often[t]! / places)}`;
      let number = numbers.get(own);
      if (number === undefined) {
        number = numbers.size;
        numbers.set(own, number);
        this.inBlock[1].push(none());
      }
      if (i % places === 0) this.inBlock[0].push(none());
      this.block[0].push(Math.floor(i / places));
      this.block[1].push(number);
      this.often[t]!++;
    });
  }

  colour(): void {
    this.order.forEach((_, i) => {
      const here = this.free((c) => this.trialAt(0, i, c) < 0);
      const there = this.free((c) => this.trialAt(1, i, c) < 0);
      const common = here.filter((c) => there.includes(c));
      if (common.length > 0) {
        this.put(i, common[this.r.below(common.length)]!);
        return;
      }
      const a = here[this.r.below(here.length)]!;
      const b = there[this.r.below(there.length)]!;
      this.swapAlong(i, a, b);
      this.put(i, a);
    });
    this.order.forEach((t, i) => this.count[t]![this.at[i]!]!++);
  }

  private trialAt(side: Side, i: number, c: number): number {
    return this.inBlock[side][this.block[side][i]!]![c]!;
  }

  private free(is: (c: number) => boolean): number[] {
    return Array.from({ length: this.places }, (_, c) => c).filter(is);
  }

  private put(i: number, c: number): void {
    this.at[i] = c;
    for (const side of [0, 1] as const) this.inBlock[side][this.block[side][i]!]![c] = i;
  }

  private swapAlong(i: number, a: number, b: number): void {
    const path: number[] = [];
    let side: Side = 1;
    let c = a;
    for (;;) {
      const next = this.trialAt(side, i, c);
      if (next < 0) break;
      path.push(next);
      i = next;
      side = side === 0 ? 1 : 0;
      c = a + b - c;
    }
    for (const t of path) for (const s of [0, 1] as const) this.inBlock[s][this.block[s][t]!]![this.at[t]!] = -1;
    for (const t of path) this.put(t, a + b - this.at[t]!);
  }

  exchange(good: (i: number, j: number, before: number) => boolean): void {
    const i = this.r.below(this.order.length);
    const j = this.r.below(this.order.length);
    if (this.at[i] === this.at[j] || !this.even(i, j)) return;
    const before = this.most === 1 ? this.excess() : 0;
    this.swap(i, j);
    if (!good(i, j, before)) this.swap(i, j);
  }

  private even(i: number, j: number): boolean {
    const s = this.order[i]!;
    const t = this.order[j]!;
    return s === t || (this.canMove(s, this.at[i]!, this.at[j]!) && this.canMove(t, this.at[j]!, this.at[i]!));
  }

  private canMove(target: number, from: number, to: number): boolean {
    const least = Math.floor(this.often[target]! / this.places);
    const most = Math.ceil(this.often[target]! / this.places);
    return this.count[target]![from]! > least && this.count[target]![to]! < most;
  }

  private swap(i: number, j: number): void {
    this.count[this.order[i]!]![this.at[i]!]!--;
    this.count[this.order[j]!]![this.at[j]!]!--;
    [this.at[i], this.at[j]] = [this.at[j]!, this.at[i]!];
    this.count[this.order[i]!]![this.at[i]!]!++;
    this.count[this.order[j]!]![this.at[j]!]!++;
  }

  runAt(i: number): number {
    let from = i;
    let to = i;
    while (from > 0 && this.at[from - 1] === this.at[i]) from--;
    while (to + 1 < this.at.length && this.at[to + 1] === this.at[i]) to++;
    return to - from + 1;
  }

  excess(): number {
    let excess = 0;
    let run = 0;
    this.at.forEach((c, i) => {
      run = i > 0 && c === this.at[i - 1] ? run + 1 : 1;
      if (run > this.most) excess++;
    });
    return excess;
  }
}
