// Words of this page that no other loads, in the language in use.

import { card } from "../words/en-card.ts";
import { spoken } from "../words/words.ts";

export const cardWords = spoken({ en: card });
