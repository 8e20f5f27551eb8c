// Words of this page that no other loads, in the language in use.

import { logbook } from "../words/en-logbook.ts";
import { spoken } from "../words/words.ts";

export const logbookWords = spoken({ en: logbook });
