// The reader's settings: light, units, and the language where there is more than one. They hold at
// once, and for good.

import type { Taste } from "../units.ts";
import { nameOfLanguage, words } from "../words/words.ts";
import { type Choices, choose, useChoices } from "./choices.ts";
import { Select } from "./field.tsx";

export function Settings({ languages }: { readonly languages: readonly string[] }) {
	const { kit } = words();
	const { units, themes } = kit;
	const chosen = useChoices();
	const pick = (key: keyof Choices) => (value: string) => choose({ [key]: value });
	const unitPairs: ReadonlyArray<
		readonly [keyof Taste, string, ReadonlyArray<keyof typeof units>]
	> = [
		["volume", kit.volume, ["litres", "gallons"]],
		["pressure", kit.pressure, ["kilopascal", "inchesOfMercury"]],
		["temperature", kit.temperature, ["celsius", "fahrenheit"]],
	];
	return (
		<details class="settings">
			<summary>{kit.settings}</summary>
			<div class="settings-inside">
				<Select
					label={kit.theme}
					value={chosen.theme}
					options={Object.entries(themes)}
					onPick={pick("theme")}
				/>
				{unitPairs.map(([key, label, names]) => (
					<Select
						key={key}
						label={label}
						value={chosen[key]}
						options={names.map((name) => [name, units[name]] as const)}
						onPick={pick(key)}
					/>
				))}
				{languages.length > 1 && (
					<Select
						label={kit.language}
						value={chosen.language}
						options={languages.map((key) => [key, nameOfLanguage(key)] as const)}
						onPick={(language) => {
							choose({ language });
							location.reload();
						}}
					/>
				)}
			</div>
		</details>
	);
}
