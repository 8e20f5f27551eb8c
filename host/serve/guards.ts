// What stands before every route: the name that the request was sent to, the page that it came
// from, its method, kind and size of body, and the headers that keep a browser from doing more with
// an answer than it should. A request that does not pass changes nothing.

import type { MiddlewareHandler } from "hono";
import { bodyLimit } from "hono/body-limit";
import { Refusal, type ServeContext, type ServeEnv } from "./context.ts";
import type { HostNames } from "./host-names.ts";

const BODY_BYTES_MAX = 65_536;
const PHOTO_BYTES_MAX = 6_000_000;
export const PHOTOS = "/api/photos";
const PHOTO_TYPES = /^image\/(jpeg|png|webp|hei[cf])\s*(;|$)/i;
const JSON_TYPE = /^application\/json\s*(;|$)/i;

/** Photos and drawings that a page made itself are the only things not asked from here. */
const PAGE_POLICY = [
	"default-src 'self'",
	"img-src 'self' blob: data:",
	"object-src 'none'",
	"base-uri 'none'",
	"form-action 'self'",
	"frame-ancestors 'none'",
].join("; ");
/** A report is one file that holds its style, and nothing that runs. */
const REPORT_POLICY =
	"default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; " +
	"form-action 'none'; frame-ancestors 'none'";

/** Of each answer. */
export const HEADERS: Readonly<Record<string, string>> = {
	"content-security-policy": PAGE_POLICY,
	"x-content-type-options": "nosniff",
	"x-frame-options": "DENY",
	// Without a referrer at all a browser would leave out the origin of a form as well.
	"referrer-policy": "same-origin",
	"cross-origin-opener-policy": "same-origin",
	"cross-origin-resource-policy": "same-origin",
};

/** Sets the headers, and refuses what was not sent to us or not by one of our pages. */
export function guard(names: HostNames): MiddlewareHandler<ServeEnv> {
	return async (c, next) => {
		for (const [name, value] of Object.entries(HEADERS)) c.header(name, value);
		c.header("cache-control", "no-store");
		if (c.req.path === "/report.html") c.header("content-security-policy", REPORT_POLICY);
		const host = hostOf(c);
		if (host === null || !names.areOurs(host, c.env.incoming.socket.localAddress)) {
			const what = "this server is not meant";
			const allowed = "its address, localhost, or a name given with --name";
			throw new Refusal(421, { what, found: `the host ${host ?? "left out or twice"}`, allowed });
		}
		refuseMethod(c);
		refuseForeign(c, host);
		if (c.req.method === "POST") refuseType(c);
		await next();
	};
}

/** Bodies are read up to their limit, whether they say how long they are or not. */
export const limitBodies: MiddlewareHandler<ServeEnv> = (c, next) =>
	(c.req.path === PHOTOS ? limitPhoto : limitBody)(c, next);

const limitBody = limitTo(BODY_BYTES_MAX);
/** Without a length it would be read before it is known whether it may be sent at all. */
const limitPhoto: MiddlewareHandler<ServeEnv> = (c, next) => {
	if (c.req.method === "POST" && c.req.header("content-length") === undefined) {
		throw new Refusal(411, { what: "the photo's length is not told", allowed: "content-length" });
	}
	return limitPhotoBytes(c, next);
};
const limitPhotoBytes = limitTo(PHOTO_BYTES_MAX);

function limitTo(maxSize: number): MiddlewareHandler<ServeEnv> {
	const onError = (): never => {
		throw new Refusal(413, { what: "the body is too long", allowed: `${maxSize} bytes at most` });
	};
	return bodyLimit({ maxSize, onError });
}

/** As the request has it; null where there is none, more than one, or an address of its own. */
function hostOf({ env }: ServeContext): string | null {
	const { rawHeaders, url } = env.incoming;
	const hosts = rawHeaders.filter((_, i) => rawHeaders[i - 1]?.toLowerCase() === "host" && i % 2);
	const isPlain = url?.startsWith("/") === true && !url.startsWith("//");
	return isPlain && hosts.length === 1 ? (hosts[0] ?? null) : null;
}

function refuseMethod(c: ServeContext): void {
	if (["GET", "HEAD", "POST"].includes(c.req.method)) return;
	c.header("allow", "GET, HEAD, POST");
	const what = "this is not done here";
	throw new Refusal(405, { what, found: c.req.method, allowed: "GET, HEAD, POST" });
}

/** Pages may be led to from anywhere; what they ask and order comes from themselves alone. */
function refuseForeign(c: ServeContext, host: string): void {
	const site = c.req.header("sec-fetch-site");
	const origin = c.req.header("origin");
	const isOwnOrigin = [`http://${host}`, `https://${host}`].includes(origin ?? "");
	const isPost = c.req.method === "POST";
	if (!isPost && !c.req.path.startsWith("/api/")) return;
	const isOwnSite = site === "same-origin" || (site === "none" && !isPost);
	const isForeign =
		(origin !== undefined && !isOwnOrigin) ||
		(site !== undefined && !isOwnSite) ||
		(isPost && origin === undefined && site === undefined);
	if (!isForeign) return;
	const found = `origin ${origin ?? "unknown"}, site ${site ?? "unknown"}`;
	throw new Refusal(403, { what: "another page has sent this", found, allowed: `http://${host}` });
}

function refuseType(c: ServeContext): void {
	const type = c.req.header("content-type") ?? "";
	const isPhoto = c.req.path === PHOTOS;
	if ((isPhoto ? PHOTO_TYPES : JSON_TYPE).test(type)) return;
	const allowed = isPhoto ? "a JPEG, PNG, WebP or HEIC image" : "application/json";
	throw new Refusal(415, { what: "this kind of body is not taken", found: type, allowed });
}
