// `lees watch`: a live view of a controller on the terminal, or a line at each change where there
// is no terminal to draw on. It looks and never acts: nothing that it sends moves a pump.

import { LiveScene } from "../link/live-scene.ts";
import { systemPorts } from "../link/reconnect.ts";
import { SteadyLink } from "../link/steady-link.ts";
import { watchLines, watchWords } from "../report/watch-view.ts";
import { EXIT } from "./exit.ts";
import { endSignal } from "./signals.ts";
import { canDraw, Terminal } from "./terminal.ts";

export interface WatchOptions {
	readonly patienceSeconds: number;
}

const DRAW_EVERY_MS = 500;

/** @throws InputError when nobody answers, or the line stays away */
export async function watch(port: string, options: WatchOptions): Promise<number> {
	const { signal, end } = endSignal();
	const patience = { ...systemPorts, patienceMs: options.patienceSeconds * 1000, signal };
	const link = await SteadyLink.open(port, patience);
	const status = await link.client.call("status", {}).catch(async (error) => {
		await link.close();
		throw error;
	});
	const scene = new LiveScene(link, status);
	const show = canDraw() ? new Drawing(port, scene, end) : new Lines(scene);
	try {
		while (!signal.aborted) {
			await scene.follow(link, signal);
			if (signal.aborted) break;
			scene.lose();
			show.update();
			if (!(await link.again())) break;
			scene.find(link, await link.client.call("status", {}).catch(() => scene.now.status));
		}
	} finally {
		show.close();
		await link.close();
	}
	return EXIT.good;
}

/** On a terminal. */
class Drawing {
	private readonly port: string;
	private readonly scene: LiveScene;
	private readonly terminal: Terminal;
	private readonly timer: NodeJS.Timeout;

	constructor(port: string, scene: LiveScene, onQuit: () => void) {
		this.port = port;
		this.scene = scene;
		this.terminal = new Terminal(onQuit, () => this.update());
		// Ages grow although nothing comes.
		this.timer = setInterval(() => this.update(), DRAW_EVERY_MS);
		scene.onChange = () => this.update();
		this.update();
	}

	update(): void {
		const screen = { ...this.terminal.size, colour: this.terminal.hasColour };
		const scene = { port: this.port, ...this.scene.now };
		this.terminal.draw(watchLines(scene, performance.now(), screen));
	}

	close(): void {
		clearInterval(this.timer);
		this.terminal.close();
	}
}

/** For a pipe or a file: a line when something else is to be said than before. */
class Lines {
	private readonly scene: LiveScene;
	private said = "";

	constructor(scene: LiveScene) {
		this.scene = scene;
		scene.onChange = () => this.update();
		this.update();
	}

	update(): void {
		const words = watchWords(this.scene.now);
		if (words === this.said) return;
		this.said = words;
		process.stdout.write(`${new Date().toISOString()} ${this.scene.now.rig}: ${words}\n`);
	}

	close(): void {
		this.scene.onChange = () => {};
	}
}
