import { expect } from "@playwright/test";
import { test } from "./demo";
import { drawnFaults, sentFaults } from "./markup";

// The check of every page's markup must itself be able to fail. These pages have known faults.

/** A page without faults, with this in its main part. */
function page(main: string): string {
  return `<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>A known page</title></head><body><main><h1>A known page</h1>${main}</main></body></html>`;
}

const judges = { sent: sentFaults, drawn: drawnFaults };

const known = {
  "none": { main: "<h2>In order</h2><p id=\"one\">One</p>", faults: [] },
  "an id twice": { main: "<p id=\"one\">One</p><p id=\"one\">Two</p>", faults: [/^no-dup-id: Duplicate ID "one"/] },
  "a heading left out": { main: "<h3>Too deep</h3>", faults: [/^heading-level: Heading level can only increase by one, expected <h2> but got <h3>/] },
  "a field without a label": { main: "<p><input type=\"text\" id=\"name\" name=\"name\"></p>", faults: [/^input-missing-label: .* \(#name\)$/] },
};

for (const [as, judge] of Object.entries(judges)) {
  for (const [name, { main, faults }] of Object.entries(known)) {
    test(`faults of a page as ${as}: ${name}`, async () => {
      expect(await judge(page(main))).toEqual(faults.map((fault) => expect.stringMatching(fault)));
    });
  }

  test(`PIN fields of a page as ${as} may turn autocomplete off, other password fields may not`, async () => {
    const field = (id: string): string => `<p><label for="${id}">Secret</label> <input type="password" id="${id}" name="${id}" autocomplete="off"></p>`;
    expect(await judge(page(["pin", "pin-now", "unlock"].map(field).join("")))).toEqual([]);
    expect(await judge(page(field("password")))).toEqual([expect.stringMatching(/^autocomplete-password: .*autocomplete="off" \(#password\)$/)]);
  });
}

test("a fault in a page that a test opens is reported with the page's address", async ({ browser, documents }) => {
  const context = await browser.newContext();
  const opened = await context.newPage();
  await opened.route("**/*", (route) => route.fulfill({ contentType: "text/html; charset=utf-8", headers: { "content-security-policy": "default-src 'none'" }, body: page(known["an id twice"].main) }));
  await opened.goto("http://newel.invalid/known");
  expect(await documents.faults()).toEqual([expect.stringMatching(/^\/known \(200\) no-dup-id: Duplicate ID "one"/)]);
  await context.close();
});
