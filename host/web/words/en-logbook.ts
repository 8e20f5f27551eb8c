// Words of the logbook page. English; another language has an object of the same shape.
// Texts with a value in them are functions.

export const logbook = {
	title: "Logbook",
};
