// Words of the bench page. English.

export const bench = {
	title: "Bench",
};
