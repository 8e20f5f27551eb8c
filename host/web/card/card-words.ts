// Words of this page that no other loads, in the language in use. Imports the catalogue.
// A second language is one more object of the same shape there.

import { card } from "../words/en-card.ts";
import { spoken } from "../words/words.ts";

export const cardWords = spoken({ en: card });
