// How a field that will hold fractions begins. V8 keeps a whole number in another way than a
// fraction: where a field begins as 0, the first fraction makes another kind of all objects of its
// class, and whoever looks into one asks from then on which kind it is. Imports nothing.

/** Nought as V8 keeps fractions: minus nought, which no comparison and no sum tells from 0. */
export const NOUGHT: number = -0;

/** One as V8 keeps fractions. */
export const ONE: number = 1 + NOUGHT;
