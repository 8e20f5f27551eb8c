// The light that the page has now, whether the reader or the device has chosen it: for what is
// painted and not styled. Preact alone.

import { useEffect, useState } from "preact/hooks";

const now = (): string => document.documentElement.dataset.theme ?? "day";

export function useLight(): string {
	const [light, setLight] = useState(now());
	useEffect(() => {
		const observer = new MutationObserver(() => setLight(now()));
		observer.observe(document.documentElement, { attributeFilter: ["data-theme"] });
		return () => observer.disconnect();
	}, []);
	return light;
}
