// Words of this page that no other loads, in the language in use. Imports the catalogue.
// A second language is one more object of the same shape there.

import { season } from "../words/en-season.ts";
import { spoken } from "../words/words.ts";

export const seasonWords = spoken({ en: season });
