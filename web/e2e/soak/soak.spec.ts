import { readdir } from "node:fs/promises";
import { join } from "node:path";
import { expect, type BrowserContext, type Page } from "@playwright/test";
import { Handset } from "../handset";
import { account, sessions, stored } from "../kept";
import { enter, test, workerReady } from "../phone";
import type { Line } from "../line";
import { compared, openSession, type Shadow } from "../shadow";

// One phone, shared by two people, whose browser is killed and whose connection is cut at random moments. The
// shadow is what its screen confirmed, recorded outside the browser; at the end everything in it must be on
// the server exactly once. SOAK_FAULTS: number of kills and cuts; SOAK_SEED: the seed of an earlier run.

const faults = Number(process.env["SOAK_FAULTS"] ?? 500);
const seed = Number(process.env["SOAK_SEED"]);

/** Reproducible random numbers (mulberry32, recalled). */
function dice(from: number): () => number {
  let a = from >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), a | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

const later = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));

/** A phone in a soak, and what has been done to it. */
class Soak {
  page!: Page;
  who: "caregiver" | "orla" = "caregiver";
  readonly author = new Map<string, string>(); // account by who it is
  /** What was done and when, to look at what surrounds a loss. */
  readonly did: string[] = [];
  kills = 0;
  cuts = 0;
  taps = 0;

  constructor(
    readonly handset: Handset,
    readonly line: Line,
    readonly shadow: Shadow,
    readonly random: () => number,
    private readonly come: (page: Page, who: "caregiver" | "orla") => Promise<void>,
  ) {}

  private say(what: string): void {
    this.did.push(`${new Date().toISOString().slice(11, 23)} ${what}`);
  }

  get done(): number {
    return this.kills + this.cuts;
  }

  context(): BrowserContext {
    return this.page.context();
  }

  pick<T>(list: readonly T[]): T {
    return list[Math.floor(this.random() * list.length)]!;
  }

  /** Signs in through the demo. */
  async enter(who = this.who): Promise<void> {
    this.say(`enter ${who}`);
    this.who = who;
    await this.come(this.page, who);
    await expect.poll(() => account(this.page)).not.toBe("");
    this.author.set(who, await account(this.page));
  }

  async kill(): Promise<void> {
    this.say("kill");
    await this.handset.kill();
    this.kills++;
    await this.handset.on();
    this.page = await this.handset.page();
  }

  /** Cuts the connection, now or in the middle of a response; it comes back after a while. */
  cut(): void {
    this.cuts++;
    this.say("cut");
    if (this.random() < 0.4) {
      this.line.swallow = true; // requests arrive, answers do not
    } else this.line.down();
    setTimeout(() => {
      this.line.up();
      this.line.swallow = false;
    }, this.random() * 1500);
  }

  /** Checks the storage while the page shows nothing, to notice whether the browser has deleted it. */
  private async lookAround(): Promise<void> {
    const folder = join(this.handset.folder, "Default", "IndexedDB");
    const files = await readdir(folder, { recursive: true }).catch((e: unknown) => [String(e)]);
    this.say(`nothing shows at ${this.page.url()}; files: ${files.join(" ")}`);
    const inside = this.page.evaluate(async () => JSON.stringify([(await indexedDB.databases()).map((d) => d.name), document.body.innerText.slice(0, 80)]));
    this.say(`databases: ${await Promise.race([inside.catch(String), later(3000).then(() => "no answer")])}`);
  }

  /** Opens a session on this phone, an unfinished one if there is one. False if nothing can be started. */
  async open(): Promise<boolean> {
    await this.page.goto(this.line.url + "/today").catch(() => this.page.goto(this.line.url + "/today"));
    const ready = this.page.locator(".day").first().or(this.page.getByRole("heading", { name: "Locked" }));
    await ready.waitFor({ timeout: 5000 }).catch(() => this.lookAround());
    const start = this.page.locator('.next a[href^="/record/"]').first();
    if (!(await start.isVisible())) return false;
    await start.click();
    const begin = this.page.locator("[data-before] button[type=submit]");
    // After the browser died, its cookie may be the other person's: then the page becomes hers between two
    // checks.
    await begin.or(this.page.locator(".calm")).first().waitFor({ timeout: 60_000 });
    if (!(await begin.isVisible())) return false;
    const resume = this.page.locator("[data-resume]");
    await ((await resume.isVisible()) ? resume : this.page.locator("[data-before] button[type=submit]")).click();
    await this.page.locator('[data-part="rail"]').waitFor();
    const unkept = await this.page.evaluate(() => document.querySelector<HTMLElement>("[data-cannot-keep]")?.hidden === false);
    this.say(`${this.who} on ${(await openSession(this.page))?.id ?? "nothing"}${unkept ? ", not kept" : ""}`);
    return true;
  }

  /**
   * One tap that may be interrupted at any moment; what the screen confirmed goes into the shadow. True if
   * the browser was restarted.
   */
  async tap(): Promise<boolean> {
    const author = this.author.get(this.who) ?? "";
    const open = await openSession(this.page);
    if (!open) return false;
    const before = await this.page.locator("#said").textContent();
    const button = this.page.locator(`[data-part="rail"] [data-answer="${this.pick(["alone", "help", "not_yet", "no_response"])}"]`).last();
    await expect(button).not.toHaveAttribute("data-just"); // a second tap of the same answer at once counts as one
    const fault = this.random();
    if (fault < 0.12) {
      // Killed within the time that a tap takes.
      this.shadow.doubt(open.id, author);
      void button.dispatchEvent("click").catch(() => undefined);
      await later(this.random() * 40);
      await this.kill();
      return true;
    }
    if (fault < 0.3) this.cut();
    await button.dispatchEvent("click");
    this.taps++;
    await expect(this.page.locator("#said")).not.toHaveText(before ?? "");
    const n = Number(/Saved\. (\d+) of/.exec((await this.page.locator("#said").textContent()) ?? "")?.[1] ?? NaN);
    expect(n).toBeGreaterThan(0);
    this.shadow.note(open.id, n, author);
    if (this.random() < 0.12) {
      await this.kill(); // right after the confirmation
      return true;
    }
    return false;
  }

  /** Taps and faults until the session is over or the browser is gone. */
  async round(): Promise<void> {
    if (!(await this.open())) {
      this.line.up();
      this.line.swallow = false;
      await this.enter(); // the cookie may have died with the browser, or the other person was here
      if (!(await this.open())) return;
    }
    while (await this.page.locator('[data-part="rail"]').isVisible()) if (await this.tap()) return;
    if (this.random() < 0.7) await this.page.locator("[data-finish]").click();
    if (this.random() < 0.2) return this.kill(); // while it is being sent
  }
}

test(`${faults} kills and cuts, seed ${seed}`, async ({ demo, line, shadow, eyes }) => {
  const handset = await Handset.made();
  const began = Date.now();
  const soak = new Soak(handset, line, shadow, dice(seed), (page, who) => enter(page, demo, line, who));
  try {
    soak.page = await handset.page();
    await soak.enter();
    await workerReady(soak.page);
    for (let rounds = 1; soak.done < faults; rounds++) {
      if (soak.random() < 0.08) {
        line.up();
        line.swallow = false;
        await soak.enter(soak.who === "caregiver" ? "orla" : "caregiver");
      }
      await soak.round().catch((error: unknown) => {
        throw new Error(`after ${soak.kills} kills and ${soak.cuts} cuts, seed ${seed}: ${String(error)}`);
      });
      if (rounds % 20 === 0) console.log(`${soak.kills} kills, ${soak.cuts} cuts, ${soak.taps} taps confirmed, ${shadow.confirmed.size} sessions, ${Math.round((Date.now() - began) / 1000)} s`);
    }
    // Each person comes back once with a connection, and everything is sent.
    await later(1600);
    line.up();
    line.swallow = false;
    for (const who of ["caregiver", "orla"] as const) {
      await soak.enter(who);
      const mine = await account(soak.page);
      const waits = async (): Promise<number> =>
        (await sessions(soak.page)).filter((k) => k.doc.closing && !k.receipt).length +
        (await stored<{ account: string; storedAt?: number }>(soak.page, "newel-sealed", "sealed")).filter((x) => x.account === mine && x.storedAt === undefined).length;
      await expect.poll(waits, { timeout: 120_000 }).toBe(0);
    }
    const found = await compared(shadow, [soak.page], demo, eyes);
    console.log(
      `seed ${seed}: ${soak.kills} kills and ${soak.cuts} cuts in ${Math.round((Date.now() - began) / 1000)} s; ` +
        `${found.confirmed} acknowledged taps in ${shadow.confirmed.size} sessions: ${found.lost.length} lost, ${found.doubled.length} doubled, ${found.seenByAnother.length} seen by another account, ${found.falselyStored.length} falsely called stored; ` +
        `the browser threw its databases away ${handset.thrownAway} times`,
    );
    if (found.lost.length > 0) console.log([...soak.did, "what the browser complained of:", ...handset.complaints].join("\n"));
    expect(found).toMatchObject({ lost: [], doubled: [], seenByAnother: [], falselyStored: [] });
  } finally {
    await handset.end();
  }
});
