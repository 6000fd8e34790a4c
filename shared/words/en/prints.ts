// English words of what lets a paper be held against the records.

export const printWords = {
  "print.checkpoint":
    "Checkpoint {number} of {when} covers {records} records; those that arrived later are in the next one. Its print (SHA-256): {hash}",
  "print.checkpoint-check":
    'To check: npm run verify -- PACK.zip --print "..." with an audit pack made since says whether these records were kept as they were; the signed checkpoint (jws) whose SHA-256 this is stands in GET /v1/checkpoints.',
  "print.no-checkpoint": "No checkpoint of the records had been taken by then.",
  "print.defect-first": "Record {id}, no. {position} of its machine, SHA-256 {hash}",
  "print.defect-last": "Its last step: record {id}, no. {position} of its machine, SHA-256 {hash}",
  "print.machine-last":
    "Last record of this machine: {id}, no. {position}, {kind}, arrived {when}, SHA-256 {hash}. It holds the hash of the one before it, and so on to the first.",
  "print.record-check":
    'To check: the line with this id in records.ndjson of an audit pack of the month in which it arrived has this "sha256"; so has GET /v1/records/ID/proof.',
} as const;
