import { expect, type APIRequestContext, type Page } from "@playwright/test";
import type { Demo } from "./demo";
import { sessions, sessionsIn, stored, type KeptHere } from "./kept";

/**
 * What screens confirmed, recorded outside the browser. In the end everything in it must be on the phone or
 * on the server (I1), once (I2), under the right person's name (I3), stored only with a receipt (I4), with a
 * way to proceed for anything in trouble (I5), and nothing changed silently (I6).
 */
export class Shadow {
  /** Trials that the screen confirmed, by session. */
  readonly confirmed = new Map<string, number>();
  /** Taps that the screen did not confirm before it went away: present or absent, both are right. */
  readonly unsaid = new Map<string, number>();
  /** The author of each session. */
  readonly author = new Map<string, string>();

  note(id: string, tries: number, author: string): void {
    this.confirmed.set(id, Math.max(this.confirmed.get(id) ?? 0, tries));
    this.author.set(id, author);
  }

  /** Records a tap whose screen went away, or may have gone away, before it confirmed anything. */
  doubt(id: string, author: string): void {
    this.unsaid.set(id, (this.unsaid.get(id) ?? 0) + 1);
    this.note(id, 0, author);
  }

  get tries(): number {
    return [...this.confirmed.values()].reduce((sum, n) => sum + n, 0);
  }
}

const standing = (k: KeptHere): number => k.doc.trials.filter((t) => !t.void).length;

/**
 * How many trials of a session are on the server, as its supervisor sees them; undefined if it has none of
 * it.
 */
export async function onServer(request: APIRequestContext, url: string, id: string): Promise<number | undefined> {
  const answer = await request.get(`${url}/recordings/${id}`);
  if (answer.status() === 404) return undefined;
  expect(answer.status(), `the page of session ${id}`).toBe(200);
  const body = await answer.text();
  const table = /<table class="quiet">[\s\S]*?<\/table>/.exec(body)?.[0] ?? "";
  return (table.match(/<tr>/g) ?? []).length - (table === "" ? 0 : 1) - (table.match(/class="soft"/g) ?? []).length;
}

export interface Found {
  confirmed: number;
  lost: string[];
  doubled: string[];
  seenByAnother: string[];
  falselyStored: string[];
}

/** Compares the shadow with phones, by any page of each, and with the server. */
export async function compared(shadow: Shadow, phones: Page[], demo: Demo, request: APIRequestContext): Promise<Found> {
  const out: Found = { confirmed: shadow.tries, lost: [], doubled: [], seenByAnother: [], falselyStored: [] };
  const here = new Map<string, KeptHere>();
  const shut = new Set<string>();
  for (const page of phones) {
    const on = new Set<string>();
    const databases = await page.evaluate(async () => (await indexedDB.databases()).map((d) => d.name ?? ""));
    for (const name of databases.filter((n) => n.startsWith("newel-") && n !== "newel-phone" && n !== "newel-sealed")) {
      for (const k of (await sessionsIn(page, name)).filter((x) => x.doc)) {
        if (on.has(k.id)) out.doubled.push(`${k.id} twice on one phone`);
        on.add(k.id);
        here.set(k.id, k);
        const author = shadow.author.get(k.id) ?? k.doc.author;
        if ("newel-" + author !== name || k.doc.author !== author) out.seenByAnother.push(`${k.id} of ${author} in ${name}`);
      }
    }
    for (const s of await stored<{ id: string; account: string; storedAt?: number }>(page, "newel-sealed", "sealed")) {
      if (on.has(s.id)) out.doubled.push(`${s.id} sealed and open`);
      if (shadow.author.has(s.id) && s.account !== shadow.author.get(s.id)) out.seenByAnother.push(`${s.id} sealed for ${s.account}`);
      if (s.storedAt === undefined) shut.add(s.id);
      else if ((await onServer(request, demo.server.url, s.id)) === undefined) out.falselyStored.push(s.id);
    }
  }
  for (const [id, tries] of shadow.confirmed) {
    const k = here.get(id);
    const there = await onServer(request, demo.server.url, id);
    const most = Math.max(k ? standing(k) : 0, there ?? 0);
    if (most < tries && !shut.has(id)) out.lost.push(`${id}: ${tries} confirmed, ${k ? standing(k) : "none"} here, ${there ?? "none"} there`);
    if (most > tries + (shadow.unsaid.get(id) ?? 0)) out.doubled.push(`${id}: ${tries} confirmed, ${most} kept`);
    if (k?.receipt && there === undefined) out.falselyStored.push(id);
    if (k?.receipt && k.doc.closing && there !== standing(k)) out.doubled.push(`${id}: ${standing(k)} here, ${there ?? "none"} there`);
  }
  return out;
}

/** The session that is open on this page's phone. */
export async function openSession(page: Page): Promise<KeptHere | undefined> {
  return (await sessions(page)).filter((k) => k.doc && !k.doc.closing).pop();
}
