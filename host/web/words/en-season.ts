// Words of the season page. English.

export const season = {
	title: "Season",
};
