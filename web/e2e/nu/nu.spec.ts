import { execFile } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { promisify } from "node:util";
import { expect, type Page } from "@playwright/test";
import { test, type Who } from "../demo";
import { crawl, send, type Found } from "./crawl";

const jar = join(dirname(createRequire(import.meta.url).resolve("vnu-jar/package.json")), "build/dist/vnu.jar");

/** Addresses that no page links to, or that are only for people who may not open them. */
const unlinked = ["/", "/nowhere", "/caseload", "/sign-in", "/setup/used", "/join/used", "/today", "/password", "/people", "/quarantine", "/leave"];

/** Forms sent empty, so that the page that answers names their faults: the page and where its form goes. */
const blanks = [
  ["/families/new", /^\/families\/new$/],
  ["/people/new", /^\/people\/new$/],
  ["/programs/new", /^\/programs$/],
] as const;

const people: Who[] = ["nobody", "supervisor", "office", "trainee", "caregiver", "orla", "temi"];

/** A page that the phone's script draws: its name, its address, and what is there when it is drawn. */
type Drawn = readonly [name: string, at: (page: Page) => Promise<string>, until: string];

const drawn: Drawn[] = [
  ["/today", async () => "/today", ".next"],
  ["/teach", (page) => onToday(page, "/teach/"), ".faces"],
  ["/teach, all of it", async (page) => `${await onToday(page, "/teach/")}?more=yes`, "#more"],
  ["/record", (page) => onToday(page, "/record/"), "[data-before]"],
  ["/today#phone", async () => "/today#phone", "[data-pin]"],
  ["/leave", async () => "/leave", ".calm"],
];

/** The first address on Today that begins like this. */
async function onToday(page: Page, begins: string): Promise<string> {
  const link = page.locator(`main a[href^="${begins}"]`).first();
  return (await link.getAttribute("href")) ?? "";
}

test("the Nu checker finds no error on any page of the invented clinic", async ({ demo, playwright, be }, info) => {
  const found: Found[] = [];
  for (const who of people) {
    const request = await playwright.request.newContext({ baseURL: demo.server.url, storageState: await demo.state(who) });
    const door = demo.door(who === "nobody" ? "supervisor" : who).slice(demo.server.url.length);
    found.push(...(await crawl(who, request, [...unlinked, door])));
    if (who === "nobody") found.push(await send(who, request, "/sign-in", /sign-in/, { email: "nobody@kestrel-yard.example", password: "wrong" }));
    if (who === "supervisor") {
      for (const [path, action] of blanks) found.push(await send(who, request, path, action, {}));
      const family = found.find((f) => /^\/families\/[0-9a-f-]{36}$/.test(f.path))!.path;
      const invited = await send(who, request, family, /\/persons\/[^/]*\/invite$/, {});
      const link = new RegExp(`${demo.server.url}(/join/[^<"]+)`).exec(invited.html)![1]!;
      found.push(invited, ...(await crawl("the person invited", request, [link])));
    }
    await request.dispose();
  }
  const phone = await be("caregiver");
  for (const [name, at, until] of drawn) {
    await phone.goto("/today");
    await phone.locator(".next").first().waitFor();
    await phone.goto(await at(phone));
    await phone.locator(until).first().waitFor({ state: "attached" });
    found.push({ who: "caregiver", path: `${name}, drawn`, status: 200, html: await phone.content() });
  }
  info.annotations.push({ type: "pages", description: String(found.length) });
  expect(found.length).toBeGreaterThanOrEqual(400);
  expect(found.filter((page) => page.status >= 500).map((page) => page.path)).toEqual([]);
  expect(await errors(found, info.outputPath("pages"))).toEqual([]);
  console.log(`${found.length} pages, ${drawn.length} of them drawn by the phone's script: no error`);
});

test("the Nu checker names the faults of a page that has them", async ({}, info) => {
  const html = '<!doctype html><html lang="en"><head><title>Two of one</title></head><body><p id="one">One</p><p id="one">Two</p></body></html>';
  const named = await errors([{ who: "nobody", path: "/faulty", status: 200, html }], info.outputPath("pages"));
  expect(named).toEqual([expect.stringMatching(/^nobody \/faulty \(200\): Duplicate ID “one”\./)]);
});

interface Message {
  type: string;
  url: string;
  message: string;
  extract?: string;
}

/** What the checker calls an error, one line each. */
async function errors(pages: Found[], folder: string): Promise<string[]> {
  mkdirSync(folder, { recursive: true });
  const names = new Map(pages.map((p, i) => [`${i}.html`, p]));
  for (const [name, page] of names) writeFileSync(join(folder, name), page.html);
  const { stderr } = await promisify(execFile)("java", ["-jar", jar, "--errors-only", "--exit-zero-always", "--format", "json", folder], { maxBuffer: 64 << 20 });
  const { messages } = JSON.parse(stderr) as { messages: Message[] };
  return messages.map((m) => {
    const page = names.get(m.url.split("/").at(-1) ?? "");
    return `${page?.who} ${page?.path} (${page?.status}): ${m.message} ${m.extract ?? ""}`;
  });
}
