// A report is drawn on a thread: it comes in as plain data and goes out as the bytes of its PDF. No room's door is opened here, so that a
// thread loads nothing of the service but what draws.
import { drawPdf, type ReportDocument } from "../pdf/index.ts";

export async function drawWhole(paper: ReportDocument): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of drawPdf(withBuffers(paper))) chunks.push(chunk as Uint8Array);
  return Buffer.concat(chunks);
}

/** Bytes come to a thread as plain arrays; what draws pictures asks for buffers. */
const withBuffers = ({ head, blocks }: ReportDocument): ReportDocument => ({
  head,
  blocks: blocks.map((block) =>
    block.kind === "pictures"
      ? {
          ...block,
          pictures: block.pictures.map((picture) =>
            typeof picture.shown === "string"
              ? picture
              : {
                  ...picture,
                  shown: {
                    ...picture.shown,
                    bytes: Buffer.from(picture.shown.bytes.buffer, picture.shown.bytes.byteOffset, picture.shown.bytes.byteLength),
                  },
                },
          ),
        }
      : block,
  ),
});
