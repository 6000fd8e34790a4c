// The closed list of what is recorded. A kind is never renamed or reused; when its data changes shape, its version grows
// and shared/records lifts the older ones. What an entry says stands there too, what it is in the words (`entry.<kind>`).
import type { RecordKind } from "../../shared/records/index.ts";
import { type Language, word } from "../../shared/words/index.ts";

export const kinds = {
  "firm-founded": { version: 1 },
  "policy-changed": { version: 1 },
  "depot-added": { version: 1 },
  "depot-amended": { version: 1 },
  "model-added": { version: 1 },
  "model-revised": { version: 1 },
  "person-added": { version: 1 },
  "person-amended": { version: 1 },
  "person-left": { version: 1 },
  "secret-reset": { version: 1 },
  "secret-changed": { version: 1 },
  "machines-imported": { version: 1 },
  "machine-added": { version: 1 },
  "machine-amended": { version: 1 },
  "machine-withdrawn": { version: 1 },
  "machine-returned": { version: 1 },
  "machine-disposed": { version: 1 },
  "machine-reinstated": { version: 1 },
  "paper-added": { version: 1 },
  "paper-ended": { version: 1 },
  "machine-fell": { version: 1 },
  "machine-sent-out": { version: 1 },
  "machine-taken-back": { version: 1 },
  "daily-check": { version: 1 },
  "weekly-inspection": { version: 1 },
  "defect-raised": { version: 1 },
  "defect-sighted": { version: 1 },
  "defect-regraded": { version: 1 },
  "defect-deferred": { version: 1 },
  "defect-waiting": { version: 1 },
  "defect-noted": { version: 1 },
  "defect-repaired": { version: 1 },
  "defect-signed-off": { version: 1 },
  "defect-not-found": { version: 1 },
  "allocation-kept": { version: 1 },
  "part-kept": { version: 1 },
  "stock-recorded": { version: 1 },
  "parts-imported": { version: 1 },
  "campaign-added": { version: 1 },
  "campaign-ended": { version: 1 },
  "photo-added": { version: 1 },
  "record-corrected": { version: 1 },
  "report-taken": { version: 1 },
  "hold-placed": { version: 1 },
  "hold-lifted": { version: 1 },
  "records-forgotten": { version: 1 },
  "person-forgotten": { version: 1 },
} as const satisfies { readonly [K in RecordKind]: { readonly version: number } };

export type Kind = RecordKind;

/** What an entry of this kind is, as a sentence for people. */
export const sentenceOf = (kind: Kind, language: Language = "en"): string => word(`entry.${kind}`, language);
