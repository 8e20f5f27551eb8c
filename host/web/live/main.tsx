// The live page: what the server tells of the controller, drawn; what a person asks, sent back. All
// that it draws is live-view.tsx.

import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { Page } from "../kit/page.tsx";
import { startPage } from "../kit/start.tsx";
import { words } from "../words/words.ts";
import { serverDeeds } from "./deeds.ts";
import { Feed, type Heard } from "./feed.ts";
import { LiveView } from "./live-view.tsx";
import { StopBar } from "./stop-bar.tsx";

const NOTHING: Heard = { scene: null, series: { recent: [], run: [] }, isServerLost: false };

function Live() {
	const [heard, setHeard] = useState(NOTHING);
	const feed = useRef<Feed | null>(null);
	const deeds = useMemo(() => serverDeeds(() => feed.current?.restart()), []);
	useEffect(() => {
		feed.current = new Feed(setHeard);
		return () => feed.current?.close();
	}, []);
	const { scene, series, isServerLost } = heard;
	const outage = isServerLost ? words().live.noServer : undefined;
	const isAway = isServerLost || scene?.link.isUp !== true;
	return (
		<Page at="live" first={<StopBar stop={deeds.stop} isAway={isAway} />}>
			{scene === null ? (
				<p role="status">{outage ?? words().live.waiting}</p>
			) : (
				<LiveView scene={scene} series={series} deeds={deeds} outage={outage} />
			)}
		</Page>
	);
}

startPage("live", () => <Live />);
