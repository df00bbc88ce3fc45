import { execFile } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { promisify } from "node:util";
import { expect } from "@playwright/test";
import { test, type Who } from "../demo";
import { crawl, send, type Found } from "./crawl";

const jar = join(dirname(createRequire(import.meta.url).resolve("vnu-jar/package.json")), "build/dist/vnu.jar");

/** Addresses that no page links to, or that are only for people who may not open them. */
const unlinked = ["/", "/nowhere", "/caseload", "/sign-in", "/setup/used", "/join/used", "/today", "/password", "/people", "/quarantine", "/leave"];

const people: Who[] = ["nobody", "supervisor", "office", "trainee", "caregiver", "orla", "temi"];

/** Pages that the phone's script draws: the address, and what is there when it is done. */
const drawn = [
  ["/today", ".next"],
  ["/teach/", ".faces"],
  ["/record/", "[data-before]"],
] as const;

test("the Nu checker finds no error on any page of the invented clinic", async ({ demo, playwright, be }, info) => {
  const found: Found[] = [];
  for (const who of people) {
    const request = await playwright.request.newContext({ baseURL: demo.server.url, storageState: await demo.state(who) });
    const door = demo.door(who === "nobody" ? "supervisor" : who).slice(demo.server.url.length);
    found.push(...(await crawl(who, request, [...unlinked, door])));
    if (who === "nobody") found.push(await send(who, request, "/sign-in", /sign-in/, { email: "nobody@kestrel-yard.example", password: "wrong" }));
    if (who === "supervisor") {
      for (const path of ["/families/new", "/people/new", "/programs/new"]) found.push(await send(who, request, path, /\/(families|people|programs)$/, {}));
      const family = found.find((f) => /^\/families\/[0-9a-f-]{36}$/.test(f.path))!.path;
      const invited = await send(who, request, family, /\/persons\/[^/]*\/invite$/, {});
      const link = new RegExp(`${demo.server.url}(/join/[^<"]+)`).exec(invited.html)![1]!;
      found.push(invited, ...(await crawl("the person invited", request, [link])));
    }
    await request.dispose();
  }
  const phone = await be("caregiver");
  for (const [begins, until] of drawn) {
    await phone.goto("/today");
    await phone.locator(".next").first().waitFor();
    if (begins !== "/today") await phone.goto((await phone.locator(`main a[href^="${begins}"]`).first().getAttribute("href")) ?? "");
    await phone.locator(until).first().waitFor();
    found.push({ who: "caregiver", path: `${begins} as drawn`, status: 200, html: await phone.content() });
  }
  info.annotations.push({ type: "pages", description: String(found.length) });
  expect(found.length).toBeGreaterThanOrEqual(110);
  expect(await errors(found, info.outputPath("pages"))).toEqual([]);
  console.log(`${found.length} pages, no error`);
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
