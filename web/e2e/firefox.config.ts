import { defineConfig } from "@playwright/test";
import usual from "./playwright.config";

// The phone in another engine, where one is installed: not part of make test. Left out is what only this way of driving
// that browser cannot do: clear its storage from outside, save a file, go without script.
const left = /F11:|rescue file|without script/;
const phone = /(faults|hands|offline|people|recorder|versions)\.spec\.ts/;

export default defineConfig({
  ...usual,
  testMatch: phone,
  grepInvert: left,
  workers: 1,
  outputDir: "results/firefox",
  projects: [
    {
      name: "phone",
      use: {
        browserName: "firefox", channel: "moz-firefox", viewport: { width: 320, height: 568 }, hasTouch: true,
        launchOptions: { executablePath: process.env["FIREFOX"] ?? "/usr/bin/firefox-esr", args: [] },
      },
    },
  ],
});
