// Words of the card page. English.

export const card = {
	title: "Leave-it card",
};
