// Words of the season page. English; another language has an object of the same shape.
// Texts with a value in them are functions.

export const season = {
	title: "Season",
};
