import { test as base, expect, type Browser, type Page, type Response } from "@playwright/test";
import { HtmlValidate, StaticConfigLoader, type ConfigData, type Message } from "html-validate";
import { knownSound, markSound } from "./demofolder";

// Every page of Newel that a browser test opens is validated as the server sent it. A test that opens a page
// with a fault fails and names the page, the rule and the location.

const rules: NonNullable<ConfigData["rules"]> = {
  // As templ writes it. HTML ignores the case.
  "doctype-style": ["error", { style: "lowercase" }],
  // A list of choices is sent as one name with many values.
  "form-dup-name": ["error", { shared: ["radio", "checkbox", "submit", "button", "reset"] }],
  // The id of a field is its name, which may have dots ("thin.0.label"). HTML allows every character but white space.
  "valid-id": ["error", { relaxed: true }],
  // A list may have a name of its own: the key of a drawing, for instance.
  "aria-label-misuse": ["error", { allowAnyNamable: true }],
  // A scrolling frame is a region with a name, so that the keyboard can reach it. As a section it would lack
  // a heading.
  "prefer-native-element": ["error", { exclude: ["region"] }],
  // Hashes protect against another server's files. All files here come from Newel, and the page's policy
  // allows no others.
  "require-sri": ["error", { target: "crossorigin" }],
  // Titles contain names that people chose, and no search engine reads them.
  "long-title": "off",
};

/** Pages as the server sends them. */
const sent = validator(rules);

/**
 * Pages as the browser serializes them: it writes attributes in its own way, and scripts position drawings by
 * style.
 */
const drawn = validator({
  ...rules,
  "doctype-style": "off",
  "attribute-boolean-style": "off",
  "attribute-empty-style": "off",
  "no-inline-style": "off",
  // The recorder contains all its parts and shows one of them, each with an h1. A preview shows three whole
  // pages, inert.
  "heading-level": ["error", { allowMultipleH1: true }],
});

function validator(own: NonNullable<ConfigData["rules"]>): HtmlValidate {
  return new HtmlValidate(new StaticConfigLoader({ root: true, extends: ["html-validate:recommended", "html-validate:document", "html-validate:a11y"], rules: own }));
}

/**
 * The fields for the PIN of a phone that several people use. No browser should offer to keep it, so only these
 * password fields may have autocomplete="off".
 */
const pins = ["#pin", "#pin-now", "#unlock", "#switch-pin"];

/** The faults of a document, one per line. */
async function faults(judge: HtmlValidate, html: string): Promise<string[]> {
  const report = await judge.validateString(withoutTemplates(html));
  const messages = report.results.flatMap((r) => r.messages).filter((m) => !isPIN(m));
  return messages.map((m) => `${m.ruleId}: ${m.message} (${m.selector ?? "whole page"})`);
}

function isPIN(m: Message): boolean {
  return m.ruleId === "autocomplete-password" && pins.includes(m.selector ?? "");
}

/** The faults of a page as the server sends it, one per line. */
export function sentFaults(html: string): Promise<string[]> {
  return faults(sent, html);
}

/** The faults of a page as the browser serializes it, one per line. */
export function drawnFaults(html: string): Promise<string[]> {
  return faults(drawn, html);
}

/** Templates are blanks that a script fills in. They are validated filled in, by expectDrawnMarkup. */
function withoutTemplates(html: string): string {
  return html.replace(/(<template\b[^>]*>)[^]*?(<\/template>)/g, "$1$2");
}

/** Fails when the page, as it is now, has a fault. For pages that a script draws. */
export async function expectDrawnMarkup(page: Page): Promise<void> {
  expect(await drawnFaults(await page.content())).toEqual([]);
}

/** The documents that a worker's browser has opened. */
class Documents {
  private readonly known = new Set<string>();
  private reading: Promise<string[]>[] = [];

  /** Follows every context that the browser opens from now on. */
  follow(browser: Browser): void {
    const open = browser.newContext.bind(browser);
    browser.newContext = async (options) => {
      const context = await open(options);
      context.on("response", (response) => {
        if (isPage(response)) this.reading.push(this.read(response));
      });
      return context;
    };
  }

  /** The faults of documents opened since the last call. */
  async faults(): Promise<string[]> {
    const found = await Promise.all(this.reading);
    this.reading = [];
    return found.flat();
  }

  private async read(response: Response): Promise<string[]> {
    // A page left before it arrived no longer has a body.
    const html = await response.text().catch(() => "");
    const content = html.replace(/[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f-]{22}/g, "");
    if (html === "" || this.known.has(content)) return [];
    this.known.add(content);
    if (knownSound(content)) return []; // another worker opened it: their servers begin with the same clinic
    const path = new URL(response.url()).pathname;
    const found = (await sentFaults(html)).map((fault) => `${path} (${response.status()}) ${fault}`);
    if (found.length === 0) await markSound(content);
    return found;
  }
}

/** Whether a response is a page of Newel. Responses that a test makes up have no content security policy. */
function isPage(response: Response): boolean {
  const headers = response.headers();
  return response.request().resourceType() === "document" && (headers["content-type"] ?? "").startsWith("text/html") && headers["content-security-policy"] !== undefined;
}

export const test = base.extend<{ soundMarkup: void }, { documents: Documents }>({
  documents: [async ({}, use) => use(new Documents()), { scope: "worker" }],
  browser: [
    async ({ browser, documents }, use) => {
      documents.follow(browser);
      await use(browser);
    },
    { scope: "worker" },
  ],
  soundMarkup: [
    async ({ documents }, use) => {
      await use();
      expect(await documents.faults(), "faults in the pages that this test opened").toEqual([]);
    },
    { auto: true },
  ],
});
