// Where the server listens, as the user writes it, and the addresses at which a browser finds it
// then. Imports Node's list of this computer's networks.

import { isIP } from "node:net";
import { networkInterfaces } from "node:os";
import { InputError } from "../../firmware/config/input-error.ts";

export interface Listen {
	readonly host: string;
	readonly port: number;
	/** Nobody but this computer gets there. */
	readonly isLoopback: boolean;
}

const FORM = /^(?:\[([0-9a-fA-F:.%]+)\]|([\w.-]+)):(\d{1,5})$/;
const ANY = new Set(["0.0.0.0", "::"]);

/** @throws InputError unless it is HOST:PORT */
export function readListen(text: string): Listen {
	const [, bracketed, plain, digits] = FORM.exec(text) ?? [];
	const host = bracketed ?? plain;
	const port = Number(digits);
	if (host === undefined || port > 65_535) {
		const allowed = "HOST:PORT, as 127.0.0.1:8437 or [::1]:8437";
		throw new InputError([{ file: "--listen", found: text, allowed }]);
	}
	const isLoopback = host === "localhost" || host === "::1" || /^127\.[\d.]+$/.test(host);
	return { host, port, isLoopback };
}

/** What to type into a browser; where every network is meant, one for each. */
export function urlsOf(host: string, port: number): string[] {
	const hosts = ANY.has(host) ? ["localhost", ...ownAddresses()] : [host];
	return hosts.map((one) => `http://${isIP(one) === 6 ? `[${one}]` : one}:${port}/`);
}

function ownAddresses(): string[] {
	return Object.values(networkInterfaces()).flatMap((addresses = []) =>
		addresses.flatMap(({ address, family, internal }) =>
			internal || family !== "IPv4" ? [] : [address],
		),
	);
}
