// A photo made small in the browser: drawn anew, so that nothing is left of it but the picture, and
// it fits into what the browser keeps. The browser's own decoder and canvas.

/** Enough to see haze and drops by, pixels on the longer side. */
const SIDE_MAX = 1_600;
const QUALITY = 0.85;

/** @returns a data address of a JPEG; null where the browser cannot read the file */
export async function smallPhoto(file: Blob): Promise<string | null> {
	let image: ImageBitmap;
	try {
		image = await createImageBitmap(file);
	} catch {
		return null;
	}
	const scale = Math.min(1, SIDE_MAX / Math.max(image.width, image.height));
	const canvas = document.createElement("canvas");
	canvas.width = Math.max(1, Math.round(image.width * scale));
	canvas.height = Math.max(1, Math.round(image.height * scale));
	const pen = canvas.getContext("2d");
	if (pen === null) return null;
	// What is clear in a picture would become black.
	pen.fillStyle = "#ffffff";
	pen.fillRect(0, 0, canvas.width, canvas.height);
	pen.drawImage(image, 0, 0, canvas.width, canvas.height);
	image.close();
	return canvas.toDataURL("image/jpeg", QUALITY);
}
