// How every page begins: language and light as chosen, then its content into the one place for it.
// The light follows the device until the reader has chosen.

import { type ComponentChild, render } from "preact";
import { speak, words } from "../words/words.ts";
import { choices, onChoice } from "./choices.ts";
import type { PageName } from "./page.tsx";

export function startPage(at: PageName, content: () => ComponentChild): void {
	speak(choices().language);
	const { documentElement } = document;
	documentElement.lang = words().locale;
	document.title = `${words().kit.pages[at]} · ${words().kit.product}`;
	const dark = matchMedia("(prefers-color-scheme: dark)");
	const light = () => {
		const { theme } = choices();
		const byDevice = dark.matches ? "night" : "day";
		documentElement.dataset.theme = theme === "auto" ? byDevice : theme;
	};
	light();
	dark.addEventListener("change", light);
	onChoice(light);
	const place = document.getElementById("page");
	if (place !== null) render(content(), place);
}
