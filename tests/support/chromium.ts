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
