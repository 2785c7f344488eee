// Photos made small enough to be sent from a site: at most so many pixels a side, as JPEG.

const LONGEST = 1600;
const QUALITY = 0.8;

/** @param {Blob} file @returns {Promise<Blob>} */
export async function smaller(file) {
  const picture = await createImageBitmap(file);
  const by = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = Object.assign(document.createElement("canvas"), {
    width: Math.max(1, Math.round(picture.width * by)),
    height: Math.max(1, Math.round(picture.height * by)),
  });
  canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((resolve, reject) => {
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("no picture"))), "image/jpeg", QUALITY);
  });
}
