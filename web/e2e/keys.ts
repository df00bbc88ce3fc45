import { expect, type Locator, type Page } from "@playwright/test";

/** Ten fingers and no mouse: counts every key press. */
export class Keys {
  /** Keys pressed, each once; a modifier held with one counts as part of it. */
  pressed = 0;
  /** Characters of the texts themselves. */
  typed = 0;

  constructor(readonly page: Page) {}

  async press(...keys: string[]): Promise<void> {
    for (const key of keys) {
      this.pressed++;
      await this.page.keyboard.press(key);
    }
  }

  /** Types a text into what has the focus. */
  async text(text: string): Promise<void> {
    this.typed += text.length;
    await this.page.keyboard.insertText(text);
  }

  async has(wanted: Locator): Promise<boolean> {
    return (await wanted.count()) > 0 && wanted.first().evaluate((e) => e === document.activeElement);
  }

  /** Goes there with the Tab key. */
  async tabTo(wanted: Locator, key = "Tab"): Promise<void> {
    for (let n = 0; n < 80; n++) {
      if (await this.has(wanted)) return;
      await this.press(key);
    }
    throw new Error(`the Tab key never reached ${wanted.toString()}`);
  }

  /** Fills fields in page order: goes to each and types. */
  async fill(fields: [name: string, text: string][]): Promise<void> {
    for (const [name, text] of fields) {
      await this.tabTo(field(this.page, name));
      await this.text(text);
    }
  }

  /** Presses keys that lead to another page, and waits until the element has the focus there. */
  async to(wanted: Locator, ...keys: string[]): Promise<void> {
    await this.press(...keys);
    await expect(wanted).toBeFocused();
  }
}

/** A field of the editor, by the end of its name. */
export const field = (page: Page, name: string): Locator => page.locator(`#pane [name$="${name}"]:not([type=hidden])`);

/** Creates a program and opens its draft. */
export async function beginDraft(page: Page, title: string): Promise<void> {
  await page.goto("/programs/new");
  await page.getByLabel("Title").fill(title);
  await page.getByRole("button", { name: "Start the draft" }).click();
  await expect(field(page, "purpose")).toBeVisible();
}

/** Adds a series of steps after the open one. */
export async function ladder(page: Page, steps: number): Promise<void> {
  await page.getByRole("button", { name: "Add a series of steps" }).click();
  await page.locator('input[value="people"]').check();
  await page.locator("#f-lines").fill(Array.from({ length: steps }, (_, n) => `with person ${n + 1} of them`).join("\n"));
  await page.getByRole("button", { name: "Preview the steps" }).click();
  await page.getByRole("button", { name: "Add these steps" }).click();
  await expect(field(page, ".name")).toBeVisible();
}
