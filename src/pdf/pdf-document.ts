// An empty PDF with its properties. The only file that imports pdfkit.
import PDFDocument from "pdfkit";
import { withoutIsolates } from "./direction.ts";
import type { ReportHead } from "./document.ts";

const escapeXml = (text: string): string => text.replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;");

/** Opens the file of a report, without a page. */
export function openDocument(
  head: ReportHead,
  { size, tagged }: { readonly size: [number, number]; readonly tagged: boolean },
): PDFKit.PDFDocument {
  const doc = new PDFDocument({
    size,
    margin: 0,
    // Without this pdfkit loads Helvetica, which is not embedded.
    font: "",
    pdfVersion: "1.7",
    tagged,
    lang: head.language,
    displayTitle: true,
    autoFirstPage: false,
    info: {
      Title: withoutIsolates(`${head.title} \u00b7 ${head.subject}`),
      Subject: withoutIsolates(head.subject),
      Author: head.firmName,
      Creator: "Ferrule",
      Producer: "Ferrule",
      CreationDate: head.createdAt,
    },
  });
  // pdfkit copies the title into XML as it stands; a firm called 'A & B' would break the file's metadata.
  const writeMetadata = doc.endMetadata.bind(doc);
  doc.endMetadata = () => {
    const { Title = "", Subject = "", Author = "" } = doc.info;
    doc.info = {
      ...doc.info,
      Title: escapeXml(Title),
      Subject: escapeXml(Subject),
      Author: escapeXml(Author),
    };
    writeMetadata();
  };
  return doc;
}
