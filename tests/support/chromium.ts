// The browser of this machine, if it has one, and how it is started where nobody sees it.
import { existsSync } from "node:fs";

const usual = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
/** null where there is none */
export const chromiumPath = [process.env["CHROMIUM"] ?? "", ...usual].find((path) => path !== "" && existsSync(path)) ?? null;

export const browserOptions = {
  executablePath: chromiumPath ?? "",
  args: [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
  ],
};

/**
 * A window of a browser keeps a process warm for a page that may come, and one for what drops from its address bar. Here each person has
 * a window of their own, which is never seen: without these it opens at half the cost. Of several such lists on the line the last one
 * counts, so that what playwright leaves out is said again.
 */
const left = [
  "AvoidUnnecessaryBeforeUnloadCheckSync",
  "DestroyProfileOnBrowserClose",
  "HttpsUpgrades",
  "HttpsFirstBalancedModeAutoEnable",
  "LensOverlay",
  "MediaRouter",
  "PaintHolding",
  "ThirdPartyStoragePartitioning",
  "AvoidCorsURLLoaderRestartOnRedirect",
  "OptimizationHints",
  "NetworkTimeServiceQuerying",
  "PreconnectToSearch",
  "SpareRendererForSitePerProcess",
  "WebUIOmniboxPopup",
  "WebUIOmniboxFullPopup",
  "WebUIOmniboxAimPopup",
];

/** For tests, in which nobody looks at how long a page takes. */
export const frugalOptions = { ...browserOptions, args: [...browserOptions.args, `--disable-features=${left.join(",")}`] };
