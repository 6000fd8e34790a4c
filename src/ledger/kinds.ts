// The closed list of what is recorded. A kind is never renamed or reused; when its data changes shape, its version grows
// and readers learn both. The sentence says to people what the entry is.

export const kinds = {
  "firm-founded": { version: 1, sentence: "The firm's records begin" },
  "policy-changed": { version: 1, sentence: "The firm's policy was changed" },
  "depot-added": { version: 1, sentence: "A depot was added" },
  "depot-amended": { version: 1, sentence: "A depot's name, rule set or workshop hours were changed" },
  "model-added": {
    version: 1,
    sentence: "A model was added with its handbook figures",
  },
  "model-revised": {
    version: 1,
    sentence: "The figures of a model were revised",
  },
  "person-added": { version: 1, sentence: "A person joined" },
  "person-amended": {
    version: 1,
    sentence: "A person's role, depots or competences were changed",
  },
  "person-left": {
    version: 1,
    sentence: "A person left, and their sessions ended",
  },
  "machines-imported": {
    version: 1,
    sentence: "Machines were imported from a file",
  },
  "machine-added": { version: 1, sentence: "The machine entered the fleet" },
  "machine-amended": {
    version: 1,
    sentence: "The machine's particulars were changed",
  },
  "machine-withdrawn": {
    version: 1,
    sentence: "The machine was withdrawn from service",
  },
  "machine-returned": {
    version: 1,
    sentence: "The machine came back into service, with an inspection due first",
  },
  "paper-added": {
    version: 1,
    sentence: "A paper of the machine was recorded",
  },
  "daily-check": { version: 1, sentence: "A daily check was made" },
  "weekly-inspection": { version: 1, sentence: "A weekly inspection was made" },
  "defect-raised": { version: 1, sentence: "A defect was raised" },
  "defect-sighted": { version: 1, sentence: "An open defect was seen again" },
  "defect-regraded": {
    version: 1,
    sentence: "A mechanic re-graded the defect",
  },
  "defect-deferred": {
    version: 1,
    sentence: "The repair of a minor defect was put off to a day",
  },
  "defect-repaired": { version: 1, sentence: "The defect was repaired" },
  "defect-signed-off": {
    version: 1,
    sentence: "A competent person signed the defect off",
  },
  "defect-not-found": {
    version: 1,
    sentence: "A competent person looked and found no fault",
  },
  "photo-added": {
    version: 1,
    sentence: "A photo arrived after the record that names it",
  },
  "record-corrected": {
    version: 1,
    sentence: "Something in an earlier record was said to be wrong, with what is right; both stay",
  },
  "report-taken": {
    version: 1,
    sentence: "A paper was taken out of the records",
  },
  "hold-placed": { version: 1, sentence: "A legal hold was placed: nothing under it is forgotten" },
  "hold-lifted": { version: 1, sentence: "A legal hold was lifted" },
  "records-forgotten": { version: 1, sentence: "What old records said was forgotten; their hashes stay" },
  "person-forgotten": { version: 1, sentence: "A person who had left was made anonymous" },
} as const satisfies Record<string, { version: number; sentence: string }>;

export type Kind = keyof typeof kinds;
