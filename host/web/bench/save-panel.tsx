// The session so far as a file: a scenario that `lees bench` plays to the same run. The writer of
// such files is loaded when one is wanted.

import { useState } from "preact/hooks";
import { Button } from "../kit/button.tsx";
import { Notice, Told } from "../kit/notice.tsx";
import { words } from "../words/words.ts";
import type { BenchClient } from "./bench-client.ts";

type Saved =
	| { readonly is: "file"; readonly file: string }
	| { readonly is: "nothing" }
	| { readonly is: "failed"; readonly why: string };

interface SaveProps {
	readonly client: BenchClient;
	/** In words. */
	readonly startTitle: string;
}

export function SavePanel({ client, startTitle }: SaveProps) {
	const said = words().bench.save;
	const [saved, setSaved] = useState<Saved | null>(null);
	const save = async () => {
		try {
			setSaved(await saveFile(client, said.titleNow(startTitle), said.story));
		} catch (error) {
			setSaved({ is: "failed", why: error instanceof Error ? error.message : "" });
		}
	};
	return (
		<>
			<p>{said.why}</p>
			<div class="row">
				<Button kind="main" onPress={() => void save()}>
					{said.save}
				</Button>
			</div>
			<div aria-live="polite">
				{saved?.is === "file" && <Notice kind="remark">{said.saved(saved.file)}</Notice>}
				{saved?.is === "nothing" && <Notice kind="remark">{said.tooLong}</Notice>}
				{saved?.is === "failed" && (
					<Notice kind="alarm" title={said.failed}>
						<Told>{saved.why}</Told>
					</Notice>
				)}
			</div>
		</>
	);
}

const TITLE_MAX = 100;

async function saveFile(client: BenchClient, title: string, story: string): Promise<Saved> {
	const text = await client.save(title.slice(0, TITLE_MAX), story);
	if (text === null) return { is: "nothing" };
	// By the computer's clock, so that two are not called alike.
	const stamp = new Date().toISOString().slice(0, 19).replaceAll(":", "-");
	const file = `bench-${stamp}.bench.yaml`;
	const link = document.createElement("a");
	link.href = URL.createObjectURL(new Blob([text], { type: "application/yaml" }));
	link.download = file;
	link.click();
	URL.revokeObjectURL(link.href);
	return { is: "file", file };
}
