// Words of this page that no other loads, in the language in use. Imports the catalogue.
// A second language is one more object of the same shape there.

import { logbook } from "../words/en-logbook.ts";
import { spoken } from "../words/words.ts";

export const logbookWords = spoken({ en: logbook });
