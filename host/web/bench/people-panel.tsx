// What people at the rig do with their hands, a button each. Every deed is one act of a scenario.
// Imports the kit.

import { useState } from "preact/hooks";
import type { CrewAction } from "../../../sim/bench/crew-schema.ts";
import { Button } from "../kit/button.tsx";
import { words } from "../words/words.ts";
import type { BenchDeed } from "./world.ts";

const places = {
	box: [
		"arm",
		"press-acknowledge",
		"press-stop",
		"release-stop",
		"open-isolator",
		"close-isolator",
		"commission",
		"restart-controller",
	],
	bowl: ["drain-bowl", "fill-bowl", "fetch-can", "wet-probe", "change-element"],
	hoses: ["seat-tube", "lower-tube", "seat-return"],
	around: ["dry-tray", "mend"],
} as const satisfies Record<string, readonly CrewAction[]>;

export function PeoplePanel({ act }: { readonly act: (deed: BenchDeed) => void }) {
	const { people } = words().bench;
	const [done, setDone] = useState<string | null>(null);
	const press = (does: CrewAction) => {
		act({ kind: "crew", act: { does } });
		setDone(people.acts[does] ?? null);
	};
	return (
		<>
			<p role="status" class="hint">
				{done !== null && people.done(done)}
			</p>
			{(Object.keys(places) as Array<keyof typeof places>).map((place) => (
				<div key={place}>
					<h3>{people[place]}</h3>
					<div class="row">
						{places[place].map((does) => (
							<Button key={does} onPress={() => press(does)}>
								{people.acts[does] ?? ""}
							</Button>
						))}
					</div>
				</div>
			))}
		</>
	);
}
