// Words of this page that no other loads, in the language in use.

import { season } from "../words/en-season.ts";
import { spoken } from "../words/words.ts";

export const seasonWords = spoken({ en: season });
