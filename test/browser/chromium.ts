// Debian's Chromium under playwright-core, as the browser tests start it: nothing of it asks a
// network, and a root user needs it without its sandbox. `npm test` installs it where it is
// missing.

import { type Browser, chromium } from "playwright-core";

const EXECUTABLE = "/usr/bin/chromium";

/** To be closed by who has launched it. */
export function launchChromium(): Promise<Browser> {
	return chromium.launch({
		executablePath: EXECUTABLE,
		args: [
			"--no-sandbox",
			"--disable-gpu",
			"--disable-quic",
			"--no-first-run",
			"--disable-background-networking",
			"--disable-component-update",
			"--disable-sync",
		],
	});
}

/** Sizes on which every page must please, CSS pixels. */
export const PHONE = { width: 360, height: 740 };
export const DESKTOP = { width: 1280, height: 800 };
