// English words of the audit pack: the page that says how to check it, and what the check says.

export const auditWords = {
  "audit.read-me": `Audit pack {month} - {firm}, {depot}
Made {madeAt} UTC. {records} records, of which {forgotten} were forgotten when their time was over. Pack {pack}.

What is here
  month.pdf           the month to be read by people
  records.ndjson      every record of the month, one a line, in the order in which it was sealed
  records.csv         the same for a spreadsheet, a row a record in the same order
  names.ndjson        what the ids in the records stand for
  schemas.ndjson      what "data" of each kind of record here holds, as JSON Schema 2020-12
  neighbours.ndjson   who, when and what kind of the records just outside the month, without what they say; empty in the pack of one depot
  tree.ndjson         what proves that each of these stands in the signed checkpoint
  chains.ndjson       every chain of records with its length and last hash, as the checkpoint states them
  checkpoints.ndjson  the signed checkpoints of the month and the one of this pack (the last line)
  time-stamps.ndjson  {timeStamps}
  photos/             {photos}
  keys.json           the public keys (RFC 7517) of the signatures
  manifest.json       length and SHA-256 of each file above, and what the pack is about
  manifest.jws        the same manifest, signed

Which records belong to the month
Those that reached the service ("recordedAt") within it: on the calendar of the depot that the record names ("depotId"), and for what
names none on the calendar of UTC; in the pack of one depot, or of a firm with one, on that depot's. "spans" in the manifest gives for
each depot (null: for what names none) the first instant of the month and the first that is no longer part of it. When something was
done ("performedAt") does not decide: a check made on the last evening and sent the next morning belongs to the next month.
{whole}

How to check it
With a copy of the service:  npm run verify -- PACK.zip
It needs no network and no database. Or with any tools that follow the standards named here:

1. manifest.jws is a JWS in compact form (RFC 7515), ES256, "typ" audit-pack+jws. Its header names a key of keys.json by its kid, which
   is the key's thumbprint (RFC 7638). Get the thumbprint from the firm by another way than this file and compare: who can change the
   whole pack can change keys.json too. The payload is manifest.json, byte for byte.
2. SHA-256 and length of every file are those in manifest.json, and no file is here that it does not name, but for the two manifests.
   "spans" begins with that of null and goes on by depot id; each is the month in its "timeZone" (IANA).
3. A line of records.ndjson is canonical JSON (RFC 8785), as in all files of that ending, and LF alone ends it. Its "dataSha256" is the SHA-256 of the canonical JSON of its "data" and
   "salt" as one object; where both are null, what it said was forgotten and the hash is all that is left: not before it is 450 days
   old by "takenAt" of the last checkpoint, but for the kinds person-added, person-amended, person-left and record-corrected. Its
   "sha256" is the SHA-256 of the canonical JSON of the line without "sha256", "salt" and "data". "previousSha256" is the "sha256" of the record one
   "position" before it in the same "chainId", null for position 1. Its "recordedAt" lies in the span of its "depotId". A line of
   neighbours.ndjson is the same without "salt" and "data", and lies in no span.
4. The tree is that of RFC 6962, section 2.1; a leaf's data are the 32 bytes of a record's "sha256". tree.ndjson lists the tree from left
   to right: records of this pack (lines without "sha256": one after the other, as in records.ndjson) and, between them, whole
   subtrees (2^level leaves, beginning at index * 2^level) with their hash. Joined they give the root. Each neighbour is a line of
   level 0 there, with the hash of its leaf.
5. The last line of checkpoints.ndjson is the checkpoint of this pack: signed like the manifest ("jws", "typ" checkpoint+jws), its payload
   the canonical JSON of firmId and of "number", "treeSize", "rootSha256", "takenAt", "chainCount" and "chainsSha256" of the line (the
   last two are left out where the line has null). "toLast" of each earlier line is the consistency proof of RFC 6962, section 2.1.2,
   from that checkpoint to the last one: nothing was changed, removed or put in between.
6. chains.ndjson has "chainCount" lines by chainId, each canonical JSON of "chainId", "length" and "sha256" (of the chain's last record),
   or, for a chain that no record of a depot's pack is of, "lineSha256" alone, the SHA-256 of such a line. "chainsSha256" is the SHA-256 of the SHA-256s of the lines, 32
   bytes each, one after the other. All lengths together are "treeSize". No record stands behind its chain's length, and one at the
   length has the hash.
7. In the pack of the whole firm nothing is left out: of each chain the last record is shown, as a record or a neighbour, and a stretch
   of positions that is not shown has on both sides records before the month or on both sides records after it, by an hour or more for
   every span (nothing stands before position 1). Clocks that differ by less than an hour change nothing in that.
8. records.csv (RFC 4180, UTF-8) has a row for each line of records.ndjson, in the same order: recordedAt, performedAt, kind, sha256 and
   id are those of the line; machine, staffNumber, name and depot are what names.ndjson calls its machineId, staffId and depotId, with an
   apostrophe before whatever a spreadsheet would take for a formula: at the beginning of a cell and after each line break (VT, FF, U+0085,
   U+2028 and U+2029 are some), ; | or TAB in it, where after white space or none = + - @ or one of their full-width forms follows; and
   before a cell that begins with TAB or CR. "sentence" and "what" were put into words when the pack was made.
9. A file under photos/ has the SHA-256 that it is called by, and a record names it by that ("photos" in its "data").
10. A line of time-stamps.ndjson is a time-stamp (RFC 3161) of the checkpoint with its "number": "token" is DER in base64, its imprint the
   SHA-256 of that checkpoint's "jws", to the letter. The same SHA-256, in groups of four, is the print that papers carry. Get the
   certificates of the authority from the authority, not from the firm, and let any tool for time-stamps check it:
     openssl ts -verify -token_in -in TOKEN -digest SHA256 -CAfile AUTHORITIES.pem
   (where a certificate has run out since, with -attime and the token's moment in seconds since 1970). With a copy of the service:
     npm run verify -- PACK.zip --ca AUTHORITIES.pem --print "the print on a paper"

What a time-stamp proves
- That the checkpoint, and so every record that it covers, existed as it is here before the moment that the time-stamp says, by the clock
  of somebody who is not the firm. Not even who holds the firm's keys can get one with an earlier moment.
- Not that a record is true, nor that it was made at the moment that it names: only that it was there by then. Not that there is no other
  set of records with time-stamps of its own: for that compare a print from a paper of that time. And it is worth what its authority is.
- A checkpoint without one is covered by the next one that has one, from that one's moment on. Without any, only the firm says when.

What it does not prove
- That what a person wrote down is true. It proves that it was written down then, and not changed since.
- That the firm has not made up everything anew, with all checkpoints, before it signed: compare number and rootSha256 of a checkpoint with
  one that you were given before. From that one on, nothing can be changed or left out.
- month.pdf, "sentence" and "what" in records.csv, and the names: these are the firm's words about the records, signed as they are here.
  Machines, depots and models are called as they were at the end of the month, people as they are called now; who was made anonymous has
  a neutral name ("forgotten": true), and only the id tells that two records are by the same person.
- More words of a forgotten record than are here. Its hash proves them to whoever kept a copy.
{caution}`,
  "audit.read-me.firm": `The {gaps} positions that lie between the records of a chain here are of other months; {neighbours} neighbours show it.`,
  "audit.read-me.depot": `This is the pack of one depot: records that name it, and records that name no depot. The {gaps} positions that lie between the records
of a chain here are of other months or of other depots (a machine that was moved; the firm's own chain, which all depots share), and
nothing here shows which. So this pack proves that each of its records stands where it stands, and not that none is left out: ask for
the pack of the whole firm for that.`,
  "audit.photos.with": "{added} of the {named} photos that the records name, each by the SHA-256 that the record gives",
  "audit.photos.without": "not here: ordered without photos; the records hold the SHA-256 of each",
  "audit.whole-firm": "the whole firm",
  "audit.holds": "The pack holds: {records} records in {chains} chains, checkpoint {checkpoint}, signed by key {kid}.",
  "audit.compare-key": "Compare that key with the thumbprint that the firm gave you.",
  "audit.photos": "{named} photos are named by its records; {added} of them are in it.",
  "audit.checkpoint": "The checkpoint was taken {taken}; its root is {root}. Compare it with one that you were given before.",
  "audit.forgotten": "{forgotten} of its records were forgotten when their time was over: their hashes are proved, their words are gone.",
  "audit.whole":
    "It leaves no record of the month out, by the chains that the checkpoint states: {gaps} positions between its records are of other months, and {neighbours} neighbours show it.",
  "audit.limit.depot":
    "The pack of one depot cannot prove that no record is left out: {gaps} positions between its records are of other months or depots, and nothing in it shows which. The pack of the whole firm proves it.",
  "audit.limit.checkpoints": "{count} of its checkpoints are from before chains were stated: they count the records, and not the chains.",
  "audit.limit.first":
    "The pack is of the first format, from before checkpoints stated the chains: it cannot prove that no record is left out. Order the month again for that.",
  "audit.fails": "The pack does not hold. {why}",
  "audit.why.not-a-zip": "It cannot be read as a ZIP: {what}.",
  "audit.why.twice": "It holds {name} twice.",
  "audit.why.missing": "{name} is missing.",
  "audit.why.unknown-file": "{name} is not named by the manifest.",
  "audit.why.file": "{name} is no file of such a pack.",
  "audit.why.too-long": "{name} is longer than such a file can be.",
  "audit.why.length": "{name} has another length than the manifest says.",
  "audit.why.hash": "{name} has another SHA-256 than the manifest says.",
  "audit.why.format": "{name} is not in the form that such a pack has: {what}.",
  "audit.why.signature": "The signature of {name} is not by one of its keys.",
  "audit.why.key": "It is signed by key {kid}, not by the one that you named.",
  "audit.why.manifest": "manifest.json is not what was signed.",
  "audit.why.record": "Record {number}, {id}: {what}.",
  "audit.why.record.form": "the line is not in canonical form",
  "audit.why.record.data": "what it says does not have the hash that it carries",
  "audit.why.record.hash": "who, when or what kind does not have the hash that it carries",
  "audit.why.record.chain": "it does not continue the record before it in its chain",
  "audit.why.record.again": "it stands at a place of its chain that another record has",
  "audit.why.record.gone": "its words are gone before they may be forgotten",
  "audit.why.record.month": "it did not reach the service within the month",
  "audit.why.record.depot": "it names a depot that the pack is not about",
  "audit.why.record.name": "names.ndjson does not say what its ids stand for",
  "audit.why.record.inside": "it belongs to the month, so it has to be one of the records",
  "audit.why.neighbour": "Neighbour {number}, {id}: {what}.",
  "audit.why.shown": "Record {id}: {what}.",
  "audit.why.spans": "The manifest does not have the spans of {month}.",
  "audit.why.zone": "There is no time zone {zone}.",
  "audit.why.name-line": "Line {number} of names.ndjson is not in canonical form, or names an id again.",
  "audit.why.chain-line": "Line {number} of chains.ndjson is not in canonical form, or not in the order of the ids.",
  "audit.why.chains": "chains.ndjson is not the list that the checkpoint states.",
  "audit.why.chain-sum": "The chains hold {entries} records together, and the tree has {leaves} leaves.",
  "audit.why.chain-end": "Chain {chain} does not end as the checkpoint states it.",
  "audit.why.left-out": "Chain {chain}: its positions {from} to {to} are left out, and nothing shows that they are of other months.",
  "audit.why.first": "It says that it is of the first format, and its checkpoint is from after that: it has to show the chains.",
  "audit.why.row": "Row {number} of records.csv is not what the record says.",
  "audit.why.count": "The manifest counts {said} {what}, and there are {found}.",
  "audit.why.tree": "The records and the tree do not give the root that was signed.",
  "audit.why.tree.line": "Line {number} of tree.ndjson does not fit where it stands.",
  "audit.why.checkpoint": "Checkpoint {number} does not say what was signed.",
  "audit.why.photo": "{name} is no photo that a record names.",
  "audit.why.consistency": "The checkpoint of the pack does not continue checkpoint {number}.",
} as const;
