// A command that has certainly not reached the controller: it may be given again as a new one.
// Pure.

/** The message says why, in the server's words. */
export class NotSent extends Error {}
