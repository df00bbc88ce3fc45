import { readdirSync } from "node:fs";
import { expect } from "@playwright/test";
import { expectAccessible } from "./axe";
import { test } from "./demo";
import { expectNoSidewaysScroll, expectTargets } from "./layout";
import { gallery } from "./paths";
import { shot } from "./shot";

// The list comes from the Go side; this file only adds what applies to each kind of page.
const names = readdirSync(gallery).filter((f) => f.endsWith(".html") && f !== "index.html").map((f) => f.slice(0, -5));

for (const name of names) {
  test(name, async ({ shared, folder }, info) => {
    const page = await shared("nobody");
    const complaints: string[] = [];
    page.removeAllListeners("pageerror").removeAllListeners("console");
    page.on("console", (m) => {
      if (m.type() === "error") complaints.push(m.text());
    });
    page.on("pageerror", (e) => complaints.push(e.message));
    await page.goto(`${folder.url}/${name}.html`);
    await expectNoSidewaysScroll(page);
    if (name.startsWith("phone")) await expectTargets(page, 48);
    // Small and light, wide and dark; pages made for the phone are also dark there.
    const small = info.project.name === "phone";
    const lights = small ? (name.startsWith("phone") ? ["dark", "light"] as const : ["light"] as const) : ["dark"] as const;
    for (const scheme of lights) {
      await page.emulateMedia({ colorScheme: scheme });
      await shot(page, info, `${name}-${scheme}`);
      await expectAccessible(page);
    }
    expect(complaints).toEqual([]);
  });
}

test("the switch between dark and light is remembered, before the first paint", async ({ page, folder }) => {
  await page.goto(`${folder.url}/form.html`);
  const paper = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  expect(await paper()).toBe("rgb(246, 241, 230)");
  await page.getByRole("button", { name: "Dark or light" }).click();
  expect(await paper()).toBe("rgb(27, 25, 22)");
  await page.goto(`${folder.url}/table.html`);
  expect(await page.evaluate(() => document.documentElement.dataset["theme"])).toBe("dark");
  expect(await paper()).toBe("rgb(27, 25, 22)");
});

test("a form is sent once, however often its button is pressed", async ({ page, folder }) => {
  let sent = 0;
  let answer: () => void = () => {};
  const pressedThrice = new Promise<void>((done) => (answer = done));
  await page.route("**/learners", async (route) => {
    sent++;
    await pressedThrice;
    await route.fulfill({ contentType: "text/html", body: "<h1>Kept</h1>" });
  });
  await page.goto(`${folder.url}/form.html`);
  await page.evaluate(() => {
    const button = document.querySelector<HTMLButtonElement>(".buttons button");
    button?.click();
    button?.click();
    button?.click();
  });
  answer();
  await page.getByRole("heading", { name: "Kept" }).waitFor();
  expect(sent).toBe(1);
});

test("a form that came back is read starting at its list of problems", async ({ page, folder }) => {
  await page.goto(`${folder.url}/form-problems.html`);
  await expect(page.locator(".problems")).toBeFocused();
  await page.getByRole("link", { name: /^Date of birth/ }).click();
  await expect(page.locator("#f-born")).toBeFocused();
});

test("the first stop of the keyboard skips to the page", async ({ page, folder }) => {
  await page.goto(`${folder.url}/table.html`);
  await page.keyboard.press("Tab");
  await expect(page.getByRole("link", { name: "Skip to content" })).toBeFocused();
  await page.keyboard.press("Enter");
  await expect(page.locator("main")).toBeFocused();
});
