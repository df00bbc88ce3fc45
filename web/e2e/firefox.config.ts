import { defineConfig } from "@playwright/test";
import usual from "./playwright.config";

// The phone and the editor in another engine, if one is installed: not part of make test. It skips what this
// way of driving that browser cannot do: clear its storage from outside, save a file, run without script.
const left = /F11:|rescue file|without script/;
const launchOptions = { executablePath: process.env["FIREFOX"] ?? "/usr/bin/firefox-esr", args: [] };
const firefox = { browserName: "firefox", channel: "moz-firefox", launchOptions } as const;

export default defineConfig({
  ...usual,
  grepInvert: left,
  outputDir: "results/firefox",
  projects: [
    { name: "phone", testMatch: /(faults|hands|offline|people|recorder|versions)\.spec\.ts/, use: { ...firefox, viewport: { width: 320, height: 568 }, hasTouch: true } },
    { name: "laptop", testMatch: /(pages|writing)\.spec\.ts/, use: { ...firefox, viewport: { width: 1280, height: 800 } } },
  ],
});
