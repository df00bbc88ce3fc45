import { expect, type Page } from "@playwright/test";
import { expectAccessible } from "./axe";
import { test, type Who } from "./demo";
import { expectNoSidewaysScroll, expectTargets } from "./layout";
import { expectDrawnMarkup } from "./markup";
import { shot } from "./shot";

/** One page of the application, who looks at it, and how to find its address. */
interface Known {
  name: string;
  who: Who;
  at: string | ((page: Page) => Promise<string>);
  status?: number;
  /** Pages drawn by script are examined when this appears. */
  until?: string;
}

/** The first address on a page that begins like this. */
async function linked(page: Page, from: string, begins: string): Promise<string> {
  const text = await (await page.request.get(from)).text();
  const found = new RegExp(`href="(${begins}[^"]*)"`).exec(text.slice(text.indexOf("<main")))?.[1];
  if (!found) throw new Error(`${from} has no link to ${begins}…`);
  return found;
}

/** The first address on Today that begins like this: the phone draws that page itself. */
async function onPhone(page: Page, begins: string): Promise<string> {
  await page.goto("/today");
  return (await page.locator(`main a[href^="${begins}"]`).first().getAttribute("href")) ?? "";
}

const family = (page: Page) => linked(page, "/families", "/families/0");
const placement = async (page: Page): Promise<string> => /^[^?#]*\/placements\/[^/?#]+/.exec(await linked(page, "/caseload", "/placements/"))![0];
const learner = (page: Page) => linked(page, "/families", "/learners/");
/** A published program: the first in the list is a draft. */
const program = async (page: Page): Promise<string> => {
  await page.goto("/programs");
  return (await page.getByRole("link", { name: "Washing hands" }).first().getAttribute("href")) ?? "";
};

/** Goes to the page of a learner who has had reviews. */
async function kavi(page: Page): Promise<void> {
  await page.goto("/families");
  await page.getByRole("link", { name: "Kavi", exact: true }).click();
  await page.waitForURL("**/learners/*");
}

/** The address that is shown only once. */
async function shownLink(page: Page): Promise<string> {
  return (await page.locator(".address code").textContent()) ?? "";
}

const pages: Known[] = [
  { name: "sign-in", who: "nobody", at: "/sign-in" },
  { name: "not-found", who: "supervisor", at: "/nowhere", status: 404 },
  { name: "not-allowed", who: "office", at: "/caseload", status: 403 },
  { name: "setup-used", who: "nobody", at: "/setup/used", status: 404 },
  { name: "password", who: "supervisor", at: "/password" },
  { name: "clinic", who: "supervisor", at: "/clinic" },
  { name: "people", who: "supervisor", at: "/people" },
  { name: "people-new", who: "supervisor", at: "/people/new" },
  { name: "people-one", who: "supervisor", at: (page) => linked(page, "/people", "/people/0") },
  { name: "families", who: "supervisor", at: "/families" },
  { name: "families-office", who: "office", at: "/families" },
  { name: "family-new", who: "supervisor", at: "/families/new" },
  { name: "family", who: "supervisor", at: family },
  { name: "family-edit", who: "supervisor", at: async (page) => `${await family(page)}/edit` },
  { name: "person", who: "supervisor", at: async (page) => linked(page, await family(page), "/persons/") },
  { name: "learner-new", who: "supervisor", at: async (page) => `${await family(page)}/learners/new` },
  { name: "learner", who: "supervisor", at: learner },
  { name: "learner-edit", who: "supervisor", at: async (page) => `${await learner(page)}/edit` },
  { name: "care", who: "supervisor", at: async (page) => `${await learner(page)}/care` },
  { name: "consents", who: "supervisor", at: async (page) => `${await learner(page)}/consents` },
  { name: "assign", who: "supervisor", at: async (page) => `${await learner(page)}/assign` },
  { name: "library", who: "supervisor", at: "/programs" },
  { name: "program-new", who: "supervisor", at: "/programs/new" },
  { name: "program", who: "supervisor", at: program },
  { name: "caseload", who: "supervisor", at: "/caseload" },
  { name: "progress", who: "supervisor", at: placement },
  { name: "recording", who: "supervisor", at: async (page) => linked(page, await placement(page), "/recordings/") },
  { name: "quarantine", who: "supervisor", at: "/quarantine" },
  { name: "skills", who: "supervisor", at: "/skills" },
  { name: "skill", who: "supervisor", at: (page) => linked(page, "/skills", "/skills/0") },
  { name: "skill-map", who: "supervisor", at: "/skills/map" },
  { name: "learner-skills", who: "supervisor", at: async (page) => `${await learner(page)}/skills` },
  { name: "learner-map", who: "supervisor", at: async (page) => `${await learner(page)}/skills/map` },
  { name: "help-scales", who: "supervisor", at: "/help-scales" },
  { name: "program-import", who: "supervisor", at: "/programs/import" },
  { name: "program-plain", who: "supervisor", at: async (page) => `${await program(page)}/plain` },
  { name: "step-preview", who: "supervisor", at: async (page) => linked(page, `${await program(page)}/plain`, "/programs/[^\"]*/steps/[^\"]*/phone"), until: "[data-frame] > *" },
  { name: "training", who: "supervisor", at: async (page) => linked(page, await family(page), "/families/[^\"]*/training/") },
  { name: "review-held", who: "supervisor", at: async (page) => (await kavi(page), page.locator('a[href^="/reviews/"]').last().getAttribute("href").then((href) => href ?? "")) },
  {
    name: "review",
    who: "supervisor",
    at: async (page) => {
      await kavi(page);
      await page.getByRole("button", { name: "Start a review" }).or(page.getByRole("link", { name: "A review is in progress" })).click();
      await page.locator(".leaf").nth(1).click();
      await page.locator(".familyprogress").waitFor();
      return page.url();
    },
  },
  { name: "agreed", who: "caregiver", at: "/agreed" },
  { name: "messages", who: "caregiver", at: "/messages" },
  { name: "happened", who: "caregiver", at: "/incidents" },
  { name: "learner-happened", who: "supervisor", at: async (page) => linked(page, await learner(page), "/learners/[^\"]*/incidents") },
  { name: "family-messages", who: "supervisor", at: (page) => linked(page, "/caseload", "/families/[^\"]*/messages") },
  { name: "own", who: "supervisor", at: async (page) => `${await placement(page)}/own` },
  { name: "look-on", who: "supervisor", at: async (page) => `${await placement(page)}/fidelity` },
  { name: "branch", who: "supervisor", at: async (page) => `${await placement(page)}/branch` },
  { name: "ask", who: "supervisor", at: async (page) => `${await placement(page)}/ask` },
  { name: "replay", who: "supervisor", at: async (page) => `${await placement(page)}/replay` },
  { name: "learner-copy", who: "supervisor", at: async (page) => `${await placement(page)}/program` },
  { name: "sheet", who: "supervisor", at: async (page) => `${await placement(page)}/sheet` },
  { name: "today", who: "caregiver", at: "/today", until: ".next" },
  { name: "teach", who: "caregiver", at: (page) => onPhone(page, "/teach/"), until: ".faces" },
  { name: "teach-more", who: "caregiver", at: async (page) => `${await onPhone(page, "/teach/")}?more=yes`, until: "#more" },
  { name: "phone", who: "caregiver", at: "/today#phone", until: '.fold a[href$="#pin"]' },
  { name: "phone-pin", who: "caregiver", at: "/today#pin", until: "[data-pin]" },
  { name: "phone-hand", who: "caregiver", at: "/today#hand", until: "[data-settings]" },
  { name: "phone-file", who: "caregiver", at: "/today#saved-file", until: "[data-rescue-in]" },
  { name: "phone-who", who: "caregiver", at: "/today#who", until: "[data-alone]:not([hidden])" },
  { name: "programs", who: "orla", at: "/today#programs", until: ".fold a .stair" },
  { name: "record", who: "caregiver", at: (page) => onPhone(page, "/record/"), until: "[data-before]" },
  { name: "family-progress", who: "caregiver", at: (page) => onPhone(page, "/progress/") },
  { name: "leave", who: "caregiver", at: "/leave" },
  {
    name: "setup",
    who: "supervisor",
    at: async (page) => {
      await page.goto("/people/new");
      await page.getByLabel("Name").fill("Wren Adeyo");
      await page.getByLabel("Email").fill("wren@kestrel-yard.example");
      await page.getByLabel(/^trainee/i).check();
      await page.getByRole("button", { name: "Add person and create link" }).click();
      return shownLink(page);
    },
  },
  {
    name: "join",
    who: "supervisor",
    at: async (page) => {
      await page.goto(await family(page));
      await page.getByRole("button", { name: "Create invitation" }).first().click();
      return shownLink(page);
    },
  },
  {
    name: "draft",
    who: "supervisor",
    at: async (page) => {
      await page.goto(await program(page));
      await page.getByRole("button", { name: "Draft a revision" }).click();
      await page.waitForURL("**/draft*");
      return page.url();
    },
  },
];

for (const known of pages) {
  test(known.name, async ({ shared }, info) => {
    const page = await shared(known.who);
    const complaints: string[] = [];
    page.removeAllListeners("pageerror").removeAllListeners("console");
    page.on("pageerror", (e) => complaints.push(e.message));
    page.on("console", (m) => {
      if (m.type() === "error" && !m.text().startsWith("Failed to load resource")) complaints.push(m.text());
    });
    const address = typeof known.at === "string" ? known.at : await known.at(page);
    const answer = await page.goto(address);
    expect(answer?.status() ?? 200).toBe(known.status ?? 200); // no response: it was the same document
    if (known.until) await page.locator(known.until).first().waitFor();
    await look(page);
    if (known.until) await expectDrawnMarkup(page);
    await shot(page, info, `page-${known.name}`);
    expect(complaints).toEqual([]);
  });
}

/** Checks a page for what every page must satisfy. */
async function look(page: Page): Promise<void> {
  await expectNoSidewaysScroll(page);
  if (await page.locator("body.caregiver").count()) await expectTargets(page, 48);
  await expectAccessible(page);
}

test("the door of the demo clinic", async ({ shared, demo }, info) => {
  const page = await shared("nobody");
  await page.goto(demo.door("supervisor"));
  await look(page);
  await shot(page, info, "page-door");
});
