// Photos made small on the phone before they wait for a line.

const LONG_PX = 1600;

/** A photo as small as it may be: 1,600 px along its longer side, upright, with nothing beside the picture. */
export async function shrunk(photo) {
	try {
		const whole = await createImageBitmap(photo, { imageOrientation: "from-image" });
		const scale = Math.min(1, LONG_PX / Math.max(whole.width, whole.height));
		const canvas = Object.assign(document.createElement("canvas"), { width: Math.round(whole.width * scale), height: Math.round(whole.height * scale) });
		canvas.getContext("2d").drawImage(whole, 0, 0, canvas.width, canvas.height);
		whole.close();
		const blob = await new Promise((done) => { canvas.toBlob(done, "image/jpeg", 0.82); });
		return blob ?? photo;
	} catch {
		return photo; // the server says what it can't read
	}
}
