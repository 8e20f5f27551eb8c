// How long a board is waited for, and how often it must answer wrongly to be disbelieved: for the
// board on its line, and for whoever stands in for one. Imports nothing.

/**
 * From power-up, with the bootloader's pause and the image's own blinking, ms. One that is still
 * silent after it was opened anew gets as long.
 */
export const READY_MS_MAX = 12_000;
/** So many wrong answers of one pin in a row are no accident; each pin is asked every 0.7 s. */
export const WRONG_ANSWERS = 2;
/** A board that has begun anew did not hold its outputs: it shows for longer than that must be. */
export const BEGUN_SHOWS_MS = 1_000;
/**
 * After so long without an answer the line is opened anew, which resets a common board and ends a
 * hang, ms. It is longer than such a board takes to boot.
 */
export const REOPEN_MS = 6_000;
