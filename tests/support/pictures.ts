// Pictures to send, with everything in them that a camera or a program writes beside the picture, and a reader of their parts that
// shares nothing with the service. Parts: JPEG by ITU-T T.81, annex B; PNG by W3C PNG (Third Edition), 5.3; WebP by RFC 9649, 2.3.
import { crc32 } from "node:zlib";
import sharp from "sharp";

/** Words that stand in what is written beside the picture, and in nothing else. */
export const secrets = ["SecretMaker", "SecretModel", "SecretOwner", "SecretPlace", "SecretRemark"];

export type PictureType = "jpeg" | "png" | "webp";
export const pictureTypes: readonly PictureType[] = ["jpeg", "png", "webp"];

const exif = {
  IFD0: { Make: "SecretMaker", Model: "SecretModel", Artist: "SecretOwner", Software: "SecretRemark" },
  IFD2: { DateTimeOriginal: "2026:07:13 04:30:00", LensModel: "SecretModel" },
  IFD3: {
    GPSLatitudeRef: "N",
    GPSLatitude: "51/1 30/1 0/1",
    GPSLongitudeRef: "W",
    GPSLongitude: "0/1 7/1 0/1",
    GPSAreaInformation: "SecretPlace",
  },
};
const xmp =
  '<?xpacket begin=""?><x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">' +
  '<rdf:Description xmlns:dc="http://purl.org/dc/elements/1.1/" dc:source="SecretPlace"/></rdf:RDF></x:xmpmeta><?xpacket end="w"?>';

/** Left half red, right half blue. */
export const halves = (widthPx: number, heightPx: number) =>
  sharp({ create: { width: widthPx, height: heightPx, channels: 3, background: "#c00000" } }).composite([
    {
      input: { create: { width: widthPx >> 1, height: heightPx, channels: 3, background: "#0000c0" } },
      left: widthPx - (widthPx >> 1),
      top: 0,
    },
  ]);

/** A picture with nothing beside it. */
export const plainPicture = (type: PictureType, widthPx = 64, heightPx = 48): Promise<Buffer> =>
  halves(widthPx, heightPx).toFormat(type).toBuffer();

/** A picture that lies on its side, with camera, place, owner, remarks and a colour profile in it. */
export async function tellingPicture(type: PictureType): Promise<Buffer> {
  const made = await halves(64, 48).withMetadata({ orientation: 6, exif }).withXmp(xmp).withIccProfile("p3").toFormat(type).toBuffer();
  if (type === "jpeg") return inJpeg(made);
  return type === "png" ? inPng(made) : made;
}

/** Puts segments behind the first marker: a remark (COM), and IPTC in an image resource (APP13). */
function inJpeg(bytes: Buffer): Buffer {
  const iptc = Buffer.concat([Buffer.from([0x1c, 2, 90, 0, 11]), Buffer.from("SecretPlace")]);
  const resource = Buffer.concat([Buffer.from("Photoshop 3.0\0" + "8BIM"), Buffer.from([4, 4, 0, 0, 0, 0, 0, iptc.length]), iptc]);
  const segment = (marker: number, data: Buffer): Buffer => {
    const head = Buffer.from([0xff, marker, 0, 0]);
    head.writeUInt16BE(data.length + 2, 2);
    return Buffer.concat([head, data]);
  };
  return Buffer.concat([bytes.subarray(0, 2), segment(0xfe, Buffer.from("SecretRemark")), segment(0xed, resource), bytes.subarray(2)]);
}

/** Puts chunks of text behind the header. */
const inPng = (bytes: Buffer): Buffer =>
  Buffer.concat([
    bytes.subarray(0, 33),
    pngChunk("tEXt", Buffer.from("Comment\0SecretRemark")),
    pngChunk("iTXt", Buffer.from("Location\0\0\0\0\0SecretPlace")),
    pngChunk("tIME", Buffer.from([7, 0xea, 7, 13, 4, 30, 0])),
    bytes.subarray(33),
  ]);

/** A chunk with its length and checksum. */
export function pngChunk(name: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(name), data]);
  const ends = [data.length, crc32(body)].map((number) => {
    const four = Buffer.alloc(4);
    four.writeUInt32BE(number);
    return four;
  });
  return Buffer.concat([ends[0] as Buffer, body, ends[1] as Buffer]);
}

/** A WebP file of these chunks. */
export function webpOf(...chunks: readonly (readonly [name: string, data: Buffer])[]): Buffer {
  const body = Buffer.concat([
    Buffer.from("WEBP"),
    ...chunks.flatMap(([name, data]) => {
      const size = Buffer.alloc(4);
      size.writeUInt32LE(data.length);
      return [Buffer.from(name), size, data, Buffer.alloc(data.length % 2)];
    }),
  ]);
  const size = Buffer.alloc(4);
  size.writeUInt32LE(body.length);
  return Buffer.concat([Buffer.from("RIFF"), size, body]);
}

/** The names of a file's parts in order, to its very last byte; throws where a part does not follow on the one before. */
export function partsOf(bytes: Buffer, type: PictureType): string[] {
  if (type === "png") return pngParts(bytes);
  return type === "webp" ? webpParts(bytes) : jpegParts(bytes);
}

function jpegParts(bytes: Buffer): string[] {
  const parts: string[] = [];
  let at = 0;
  while (at < bytes.length) {
    if (bytes[at] !== 0xff) throw new Error(`no marker at ${at}`);
    const marker = bytes[at + 1] ?? 0;
    parts.push(marker.toString(16));
    at += 2;
    // SOI and EOI stand alone; everything else says its length.
    if (marker === 0xd8) continue;
    if (marker === 0xd9) {
      if (at !== bytes.length) throw new Error("something follows the end of the picture");
      return parts;
    }
    at += bytes.readUInt16BE(at);
    // The scan's data ends at the next marker that is neither a stuffed byte nor a restart (B.1.1.5).
    if (marker === 0xda)
      while (!(bytes[at] === 0xff && bytes[at + 1] !== 0 && !((bytes[at + 1] ?? 0) >= 0xd0 && (bytes[at + 1] ?? 0) <= 0xd7))) at += 1;
  }
  throw new Error("the picture does not end");
}

function pngParts(bytes: Buffer): string[] {
  const parts: string[] = [];
  for (let at = 8; at < bytes.length; at += 12 + bytes.readUInt32BE(at)) parts.push(bytes.toString("latin1", at + 4, at + 8));
  return parts;
}

function webpParts(bytes: Buffer): string[] {
  const parts: string[] = [];
  for (let at = 12; at < bytes.length; ) {
    parts.push(bytes.toString("latin1", at, at + 4));
    const size = bytes.readUInt32LE(at + 4);
    at += 8 + size + (size % 2);
  }
  return parts;
}

/** The colour in the middle of the upper and of the lower half. */
export async function upperAndLower(bytes: Buffer): Promise<("red" | "blue" | "other")[]> {
  const { data, info } = await sharp(bytes).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  return [0.25, 0.75].map((part) => {
    const at = (Math.floor(info.height * part) * info.width + (info.width >> 1)) * info.channels;
    const [red = 0, , blue = 0] = data.subarray(at, at + 3);
    return red > 150 && blue < 60 ? "red" : blue > 150 && red < 60 ? "blue" : "other";
  });
}
