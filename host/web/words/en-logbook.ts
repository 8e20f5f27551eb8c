// Words of the logbook page. English.

export const logbook = {
	title: "Logbook",
};
