"""Checks an audit pack with Python's standard library alone. Written from read-me.txt and FORMAT.md, not from the service's code.

verify_pack.py PACK.zip [--kid THUMBPRINT] [--ca AUTHORITIES.pem]  ends with 0 where the pack holds, with 1 and the reason where it does not
verify_pack.py --vectors FORMAT.md              computes the test vectors of that text
"""
import base64
import csv
import datetime
import hashlib
import io
import json
import re
import subprocess
import sys
import tempfile
import zipfile
import zoneinfo


class Fault(Exception):
    pass


def need(holds, why):
    if not holds:
        raise Fault(why)


# --- RFC 8785: canonical JSON


def number(value):
    # As ECMAScript writes a double (7.1.12.1): the shortest digits, an exponent below 1e-6 and from 1e21 on.
    if isinstance(value, int) and abs(value) < 2**53:
        return str(value)
    value = float(value)
    need(value == value and abs(value) != float("inf"), "a number that JSON cannot hold")
    if value == 0:
        return "0"
    mantissa, exponent = re.fullmatch(r"-?([\d.]+)(?:e([+-]\d+))?", repr(value)).groups()
    whole, _, part = mantissa.partition(".")
    digits = (whole + part).lstrip("0")
    point = len(whole) + int(exponent or 0) - (len(whole + part) - len((whole + part).lstrip("0")))
    digits = digits.rstrip("0")
    count = len(digits)
    if count <= point <= 21:
        text = digits + "0" * (point - count)
    elif 0 < point <= 21:
        text = digits[:point] + "." + digits[point:]
    elif -6 < point <= 0:
        text = "0." + "0" * -point + digits
    else:
        text = digits[0] + ("." + digits[1:] if count > 1 else "") + f"e{point - 1:+d}"
    return ("-" if value < 0 else "") + text


def canonical(value):
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, (int, float)):
        return number(value)
    if isinstance(value, list):
        return "[" + ",".join(canonical(one) for one in value) + "]"
    names = sorted(value, key=lambda name: name.encode("utf-16-be"))
    return "{" + ",".join(canonical(name) + ":" + canonical(value[name]) for name in names) + "}"


def once(pairs):
    need(len({name for name, _ in pairs}) == len(pairs), "an object that names a member twice")
    return dict(pairs)


def parse(text, where, members=None):
    try:
        value = json.loads(text, object_pairs_hook=once)
    except ValueError:
        raise Fault(f"{where} is not JSON")
    need(isinstance(value, dict), f"{where} is no object")
    need(members is None or set(value) == members, f"{where} does not have the members that it has to have")
    return value


def sha(data):
    return hashlib.sha256(data.encode() if isinstance(data, str) else data).hexdigest()


def is_hash(value):
    return isinstance(value, str) and re.fullmatch(r"[0-9a-f]{64}", value) is not None


# --- ES256 (RFC 7518 3.4; FIPS 186: ECDSA over P-256)

P = 2**256 - 2**224 + 2**192 + 2**96 - 1
N = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551
B = 0x5AC635D8AA3A93E7B3EBBD55769886BC651D06B0CC53B0F63BCE3C3E27D2604B
G = (0x6B17D1F2E12C4247F8BCE6E563A440F277037D812DEB33A0F4A13945D898C296, 0x4FE342E2FE1A7F9B8EE7EB4A7C0F9E162BCE33576B315ECECBB6406837BF51F5)


def add(one, other):
    if one is None or other is None:
        return one or other
    (x1, y1), (x2, y2) = one, other
    if x1 == x2:
        if (y1 + y2) % P == 0:
            return None
        slope = (3 * x1 * x1 - 3) * pow(2 * y1, -1, P)
    else:
        slope = (y2 - y1) * pow(x2 - x1, -1, P)
    x = (slope * slope - x1 - x2) % P
    return x, (slope * (x1 - x) - y1) % P


def times(factor, point):
    result = None
    while factor:
        if factor & 1:
            result = add(result, point)
        point = add(point, point)
        factor >>= 1
    return result


def unb64(text):
    try:
        raw = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
    except ValueError:
        raise Fault("base64url that is none")
    # One text for the same bytes: bits that mean nothing are zero.
    need(base64.urlsafe_b64encode(raw).rstrip(b"=").decode() == text, "base64url in another form")
    return raw


def signed(jws, keys, typ, where):
    parts = jws.split(".")
    need(len(parts) == 3, f"{where}: no JWS")
    header = parse(unb64(parts[0]).decode(), where)
    need(header.get("alg") == "ES256" and header.get("typ") == typ and "crit" not in header, f"{where}: signed as something else")
    key = next((key for key in keys if key["kid"] == header.get("kid")), None)
    need(key, f"{where}: signed by none of its keys")
    point = {name: key[name] for name in ("crv", "kty", "x", "y")}
    print_ = base64.urlsafe_b64encode(hashlib.sha256(canonical(point).encode()).digest()).rstrip(b"=").decode()
    need(print_ == key["kid"] and key["crv"] == "P-256" and key["kty"] == "EC", f"{where}: a key that is not called by its thumbprint")
    x, y = (int.from_bytes(unb64(key[name]), "big") for name in ("x", "y"))
    need(x < P and y < P and (y * y - x**3 + 3 * x - B) % P == 0, f"{where}: a key that is no point of the curve")
    raw = unb64(parts[2])
    r, s = int.from_bytes(raw[:32], "big"), int.from_bytes(raw[32:], "big")
    need(len(raw) == 64 and 0 < r < N and 0 < s < N, f"{where}: the signature")
    digest = int.from_bytes(hashlib.sha256(f"{parts[0]}.{parts[1]}".encode()).digest(), "big")
    inverse = pow(s, -1, N)
    found = add(times(digest * inverse % N, G), times(r * inverse % N, (x, y)))
    need(found is not None and found[0] % N == r, f"{where}: the signature is not by that key")
    return unb64(parts[1]), header["kid"]


# --- RFC 6962, section 2.1


def leaf_hash(data):
    return hashlib.sha256(b"\0" + data).digest()


def node_hash(left, right):
    return hashlib.sha256(b"\1" + left + right).digest()


class Tree:
    def __init__(self):
        self.edge, self.size = [], 0

    def add(self, level, value):
        index, at = self.size >> level, level
        while index % 2:
            value, index, at = node_hash(self.edge.pop(), value), index // 2, at + 1
        self.edge.append(value)
        self.size += 1 << level

    def root(self):
        if not self.edge:
            return hashlib.sha256(b"").digest()
        root = self.edge[-1]
        for left in reversed(self.edge[:-1]):
            root = node_hash(left, root)
        return root


def continues(old_size, old_root, size, root, proof):
    # RFC 9162, 2.1.4.2, which checks the proof of RFC 6962.
    if old_size > size:
        return False
    if old_size == 0:
        return not proof and old_root == hashlib.sha256(b"").digest()
    if old_size == size:
        return not proof and old_root == root
    path = ([old_root] if old_size & (old_size - 1) == 0 else []) + proof
    if not path:
        return False
    at, last = old_size - 1, size - 1
    while at & 1:
        at, last = at >> 1, last >> 1
    old, new = path[0], path[0]
    for step in path[1:]:
        if last == 0:
            return False
        if at & 1 or at == last:
            old, new = node_hash(step, old), node_hash(step, new)
            while at and not at & 1:
                at, last = at >> 1, last >> 1
        else:
            new = node_hash(new, step)
        at, last = at >> 1, last >> 1
    return last == 0 and old == old_root and new == root


# --- the month


UTC = datetime.timezone.utc


def instant(text, where):
    need(isinstance(text, str) and re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", text), f"{where}: no instant")
    return datetime.datetime.strptime(text, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)


def first_instant(year, month, zone):
    try:
        clock = zoneinfo.ZoneInfo(zone)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError):
        raise Fault(f"there is no time zone {zone}")
    return datetime.datetime(year, month, 1, tzinfo=clock).astimezone(UTC)


def spans_of(manifest):
    need(re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])", manifest["month"]), "the month is none")
    year, month = map(int, manifest["month"].split("-"))
    after = (year + month // 12, month % 12 + 1)
    spans = manifest["spans"]
    need(spans and spans[0]["depotId"] is None, "the spans do not begin with that of no depot")
    depots = [span["depotId"] for span in spans[1:]]
    need(None not in depots and depots == sorted(set(depots)), "the spans are not in the order of the depots")
    need(manifest["depotId"] is None or depots == [manifest["depotId"]], "the spans are not of the pack's depot")
    zone = spans[1]["timeZone"] if len(depots) == 1 else "UTC"
    need(spans[0]["timeZone"] == zone, "what names no depot is on another calendar")
    found = {}
    for span in spans:
        need(set(span) == {"depotId", "timeZone", "starts", "ends"}, "a span has other members")
        starts, ends = instant(span["starts"], "a span"), instant(span["ends"], "a span")
        need(starts == first_instant(year, month, span["timeZone"]), "a span does not begin with the month")
        need(ends == first_instant(*after, span["timeZone"]), "a span does not end with the month")
        found[span["depotId"]] = (starts, ends)
    return found


# --- records.csv

BLANK = "[\t\n\v\f\r \u00a0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000\ufeff]*"
FORMULA = re.compile(f"\\A(?=[\t\r]|{BLANK}[=+\\-@\uff0b\uff0d\uff1d\uff20])|(?<=[\n\r\v\f\u0085\u2028\u2029;\t|])(?={BLANK}[=+\\-@\uff0b\uff0d\uff1d\uff20])")
COLUMNS = ["recordedAt", "performedAt", "kind", "sentence", "machine", "staffNumber", "name", "depot", "what", "sha256", "id"]
WORDS = {"sentence", "what"}


def rows_of(text):
    need(text.startswith("\ufeff"), "records.csv does not begin with the byte order mark")
    csv.field_size_limit(2**31 - 1)
    try:
        return list(csv.reader(io.StringIO(text[1:], newline=""), strict=True))
    except csv.Error as error:
        raise Fault(f"records.csv: {error}")


# --- the pack

ENVELOPE = {"id", "chainId", "position", "kind", "version", "machineId", "depotId", "staffId", "performedAt", "recordedAt", "dataSha256", "previousSha256", "sha256"}
MANIFEST = {"format", "packId", "firmId", "month", "depotId", "spans", "requestedBy", "madeAt", "checkpoint", "records", "chains", "gaps", "neighbours", "files"}
CHECKPOINT = {"number", "treeSize", "rootSha256", "takenAt", "kid", "jws", "chainCount", "chainsSha256", "toLast"}
LINES = ["names", "records", "neighbours", "tree", "chains", "checkpoints"]
MARGIN = datetime.timedelta(hours=1)
SOONER = {"person-added", "person-amended", "person-left", "record-corrected"}
KEPT = datetime.timedelta(days=450)


def lines_of(pack, name):
    text = pack.read(name).decode("utf-8")
    need(text == "" or text.endswith("\n"), f"{name} does not end with its last line")
    return text.split("\n")[:-1]


def envelope_of(entry, where):
    members = {name: value for name, value in entry.items() if name in ENVELOPE and name != "sha256"}
    need(isinstance(entry["position"], int) and entry["position"] >= 1, f"{where}: its position")
    need(sha(canonical(members)) == entry["sha256"], f"{where}: its hash is not of who, when and what kind")
    need((entry["position"] == 1) == (entry["previousSha256"] is None), f"{where}: what it follows")
    instant(entry["performedAt"], where)
    return instant(entry["recordedAt"], where)


def time_stamps(pack, held, authorities):
    jws, seen = {point["number"]: point["jws"] for point in held}, 0
    for at, line in enumerate(lines_of(pack, "time-stamps.ndjson"), 1):
        where = f"time-stamps.ndjson:{at}"
        stamp = parse(line, where, {"number", "token"})
        need(canonical(stamp) == line and stamp["number"] in jws and stamp["number"] > seen, f"{where}: its form, or of no checkpoint, or again")
        seen, imprint = stamp["number"], sha(jws[stamp["number"]])
        with tempfile.NamedTemporaryFile(suffix=".der") as token:
            token.write(base64.b64decode(stamp["token"], validate=True))
            token.flush()
            said = subprocess.run(["openssl", "ts", "-reply", "-token_in", "-in", token.name, "-token_out", "-text"], capture_output=True, text=True)
            need(said.returncode == 0, f"{where}: no time-stamp")
            dump = re.search(r"Hash Algorithm: sha256\nMessage data:\n((?: .*\n)+)", said.stdout)
            need(dump, f"{where}: of another kind of hash")
            found = "".join(re.sub(r"[^0-9a-f]", "", row.split(" - ")[1][:48]) for row in dump[1].splitlines())
            need(found == imprint, f"{where}: of something else than its checkpoint")
            if authorities:
                done = subprocess.run(["openssl", "ts", "-verify", "-token_in", "-in", token.name, "-digest", imprint, "-CAfile", authorities], capture_output=True)
                need(done.returncode == 0, f"{where}: openssl does not take it")
    return len(lines_of(pack, "time-stamps.ndjson"))


def verify(path, only_kid=None, authorities=None):
    pack = zipfile.ZipFile(path)
    names = pack.namelist()
    need(len(set(names)) == len(names), "the ZIP holds a file twice")
    for name in ["keys.json", "manifest.jws", "manifest.json"]:
        need(name in names, f"{name} is missing")

    # 1
    keys = parse(pack.read("keys.json").decode(), "keys.json")["keys"]
    payload, kid = signed(pack.read("manifest.jws").decode(), keys, "audit-pack+jws", "manifest.jws")
    need(only_kid in (None, kid), f"signed by key {kid}")
    need(payload == pack.read("manifest.json"), "manifest.json is not what was signed")
    manifest = parse(payload.decode(), "manifest.json", MANIFEST)
    need(manifest["format"] == "ferrule-audit-pack-2", "another format")

    # 2
    listed = [file["name"] for file in manifest["files"]]
    need(len(set(listed)) == len(listed), "the manifest names a file twice")
    need(set(names) == {*listed, "manifest.json", "manifest.jws"}, "the files are not those of the manifest")
    for name in [*(f"{name}.ndjson" for name in LINES), "records.csv", "read-me.txt", "month.pdf", "keys.json"]:
        need(name in listed, f"{name} is missing")
    for file in manifest["files"]:
        content = pack.read(file["name"])
        need(len(content) == file["bytes"] and sha(content) == file["sha256"], f"{file['name']} is not what the manifest says")
    spans = spans_of(manifest)
    before = min(starts for starts, _ in spans.values()) - MARGIN
    after = max(ends for _, ends in spans.values()) + MARGIN

    called = {}
    for at, line in enumerate(lines_of(pack, "names.ndjson"), 1):
        where = f"names.ndjson:{at}"
        name = parse(line, where)
        members = {"id", "is", "called"} | ({"number", "forgotten"} if name.get("is") == "person" else set())
        need(set(name) == members and name["is"] in ("depot", "machine", "model", "person"), f"{where}: its members")
        need(canonical(name) == line and name["id"] not in called, f"{where}: its form, or an id again")
        called[name["id"]] = name

    def call(id_, what, where):
        if id_ is None:
            return {"called": "", "number": ""}
        need(called.get(id_, {}).get("is") == what, f"{where}: nothing says what its ids stand for")
        return called[id_]

    # 3
    leaves, shown, photos, rows = [], {}, set(), []
    own, gaps, forgotten, kept_until = {}, 0, 0, []
    for at, line in enumerate(lines_of(pack, "records.ndjson"), 1):
        where = f"record {at}"
        record = parse(line, where, ENVELOPE | {"salt", "data"})
        need(canonical(record) == line, f"{where}: not in canonical form")
        data, salt = record["data"], record["salt"]
        need((data is None) == (salt is None), f"{where}: half forgotten")
        need(data is None or sha(canonical({"data": data, "salt": salt})) == record["dataSha256"], f"{where}: what it says")
        forgotten += data is None
        if data is None and record["kind"] not in SOONER:
            kept_until.append(instant(record["recordedAt"], where) + KEPT)
        arrived = envelope_of(record, where)
        need(record["depotId"] in spans, f"{where}: a depot that the pack is not about")
        starts, ends = spans[record["depotId"]]
        need(starts <= arrived < ends, f"{where}: not of the month")
        chain, position = record["chainId"], record["position"]
        need(position > own.get(chain, 0), f"{where}: a place of its chain that another has")
        gaps += position - own[chain] - 1 if chain in own else 0
        own[chain] = position
        shown.setdefault(chain, []).append((position, arrived, record))
        leaves.append(leaf_hash(bytes.fromhex(record["sha256"])))
        listed_photos = data.get("photos") if data else None
        if isinstance(listed_photos, list):
            photos |= {photo["sha256"] for photo in listed_photos if isinstance(photo, dict) and is_hash(photo.get("sha256"))}
        machine, person, depot = (call(record[f"{name}Id"], what, where) for name, what in (("machine", "machine"), ("staff", "person"), ("depot", "depot")))
        cells = [record["recordedAt"], record["performedAt"], record["kind"], "", machine["called"], person["number"], person["called"], depot["called"], "", record["sha256"], record["id"]]
        rows.append([FORMULA.sub("'", cell) for cell in cells])
    beside = {}
    for at, line in enumerate(lines_of(pack, "neighbours.ndjson"), 1):
        where = f"neighbour {at}"
        entry = parse(line, where, ENVELOPE)
        need(canonical(entry) == line, f"{where}: not in canonical form")
        arrived = envelope_of(entry, where)
        if entry["depotId"] in spans:
            starts, ends = spans[entry["depotId"]]
            need(not starts <= arrived < ends, f"{where}: it belongs to the month")
        else:
            need(arrived < before or arrived >= after, f"{where}: a depot that the pack is not about")
        leaf = leaf_hash(bytes.fromhex(entry["sha256"])).hex()
        need(leaf not in beside, f"{where}: again")
        beside[leaf] = entry
        shown.setdefault(entry["chainId"], []).append((entry["position"], arrived, entry))

    # 4
    tree, taken, found = Tree(), iter(leaves), 0
    for at, line in enumerate(lines_of(pack, "tree.ndjson"), 1):
        part = parse(line, f"tree.ndjson:{at}")
        level, index = part["level"], part["index"]
        need(set(part) - {"sha256"} == {"level", "index"} and 0 <= level < 63, f"tree.ndjson:{at}: its members")
        need(index << level == tree.size, f"tree.ndjson:{at} does not fit where it stands")
        if "sha256" in part:
            need(is_hash(part["sha256"]), f"tree.ndjson:{at}: its hash")
            found += level == 0 and part["sha256"] in beside
            tree.add(level, bytes.fromhex(part["sha256"]))
        else:
            leaf = next(taken, None)
            need(level == 0 and leaf is not None, f"tree.ndjson:{at}: no record stands there")
            tree.add(0, leaf)
    need(next(taken, None) is None, "a record without a leaf")
    need(found == len(beside), "a neighbour without a leaf")

    # 5
    held = []
    for at, line in enumerate(lines_of(pack, "checkpoints.ndjson"), 1):
        where = f"checkpoints.ndjson:{at}"
        point = parse(line, where, CHECKPOINT)
        claim, by = signed(point["jws"], keys, "checkpoint+jws", where)
        members = {name: point[name] for name in ("number", "treeSize", "rootSha256", "takenAt")}
        members["firmId"] = manifest["firmId"]
        if point["chainCount"] is not None or point["chainsSha256"] is not None:
            members |= {"chainCount": point["chainCount"], "chainsSha256": point["chainsSha256"]}
        need(claim.decode() == canonical(members) and by == point["kid"], f"{where} does not say what was signed")
        held.append(point)
    need(held, "no checkpoint")
    last = held[-1]
    need(last["number"] == manifest["checkpoint"], "the last checkpoint is not the pack's")
    taken_at = instant(last["takenAt"], "the last checkpoint")
    need(all(until <= taken_at for until in kept_until), "the words of a record are gone before they may be")
    need((last["treeSize"], last["rootSha256"]) == (tree.size, tree.root().hex()), "the records do not give the root that was signed")
    for earlier, later in zip(held, held[1:]):
        need(earlier["number"] < later["number"] and earlier["treeSize"] <= later["treeSize"], "the checkpoints are not in their order")
    for point in held:
        proof = [bytes.fromhex(one) for one in point["toLast"]]
        need(continues(point["treeSize"], bytes.fromhex(point["rootSha256"]), tree.size, tree.root(), proof), f"checkpoint {point['number']} is not continued")

    # 10
    stamps = time_stamps(pack, held, authorities) if "time-stamps.ndjson" in listed else 0

    # 6
    hashes, chains, previous = b"", {}, ""
    for at, line in enumerate(lines_of(pack, "chains.ndjson"), 1):
        where = f"chains.ndjson:{at}"
        chain = parse(line, where)
        need(canonical(chain) == line, f"{where}: not in canonical form")
        if set(chain) == {"lineSha256"}:
            need(is_hash(chain["lineSha256"]), f"{where}: its hash")
            hashes += bytes.fromhex(chain["lineSha256"])
            continue
        need(set(chain) == {"chainId", "length", "sha256"} and chain["chainId"] > previous, f"{where}: its members, or its place")
        previous = chain["chainId"]
        chains[previous] = chain
        hashes += hashlib.sha256(line.encode()).digest()
    need((len(hashes) // 32, sha(hashes)) == (last["chainCount"], last["chainsSha256"]), "the chains are not those that were signed")
    together = sum(chain["length"] for chain in chains.values())
    whole = len(chains) == len(hashes) // 32
    need(together == tree.size if whole else together <= tree.size, "the chains do not hold as many records as the tree")
    for id_, entries in shown.items():
        entries.sort(key=lambda one: one[0])
        need(id_ in chains, f"chain {id_} is not opened")
        for (position, _, entry), (next_position, _, follower) in zip(entries, entries[1:]):
            need(position != next_position, f"chain {id_}: a place that two have")
            need(next_position != position + 1 or follower["previousSha256"] == entry["sha256"], f"chain {id_} does not hang together")
        position, _, entry = entries[-1]
        length = chains[id_]["length"]
        need(position <= length and (position != length or entry["sha256"] == chains[id_]["sha256"]), f"chain {id_} does not end as it was signed")

    # 7
    if manifest["depotId"] is None:
        need(whole, "a pack of the whole firm opens every chain")
        for id_, chain in chains.items():
            stood, side = 0, -1
            for position, arrived, _ in shown.get(id_, []):
                next_side = -1 if arrived < before else 1 if arrived >= after else 0
                need(position == stood + 1 or (next_side != 0 and next_side == side), f"chain {id_}: {stood + 1} to {position - 1} are left out")
                stood, side = position, next_side
            need(stood == chain["length"], f"chain {id_}: {stood + 1} to {chain['length']} are left out")

    # 8
    table = rows_of(pack.read("records.csv").decode("utf-8"))
    need(table and table[0] == COLUMNS, "records.csv has another header")
    need(len(table) == len(rows) + 1, "records.csv has another number of rows")
    for at, (row, cells) in enumerate(zip(table[1:], rows), 1):
        need(len(row) == len(COLUMNS), f"records.csv: row {at} has another number of cells")
        need(all(name in WORDS or cell == said for name, cell, said in zip(COLUMNS, row, cells)), f"records.csv: row {at} is not what the record says")

    # 9
    for file in manifest["files"]:
        photo = re.fullmatch(r"photos/([0-9a-f]{64})\.(?:jpg|png|webp)", file["name"])
        need(not photo or (photo[1] == file["sha256"] and photo[1] in photos), f"{file['name']} is no photo that a record names")

    for what, count in (("records", len(leaves)), ("chains", len(own)), ("gaps", gaps), ("neighbours", len(beside))):
        need(manifest[what] == count, f"the manifest counts {manifest[what]} {what}, and there are {count}")
    complete = "all of the month" if manifest["depotId"] is None else "not shown to be all of the month"
    return f"holds: {len(leaves)} records ({forgotten} forgotten; {complete}), checkpoint {last['number']}, root {last['rootSha256']}, {stamps} time-stamps, key {kid}"


def vectors(path):
    with open(path, encoding="utf-8") as file:
        text = re.search(r"```json\n(.*?)\n```", file.read(), re.DOTALL)[1]
    given = json.loads(text)
    for one in given["canonical"]:
        need(canonical(json.loads(one["json"])) == one["canonical"], one["json"])
    for one in given["tree"]:
        tree = Tree()
        for leaf in one["leaves"]:
            tree.add(0, leaf_hash(bytes.fromhex(leaf)))
        need(tree.root().hex() == one["root"], f"a tree of {len(one['leaves'])}")
    for one in given["consistency"]:
        proof = [bytes.fromhex(step) for step in one["proof"]]
        need(continues(one["oldSize"], bytes.fromhex(one["oldRoot"]), one["size"], bytes.fromhex(one["root"]), proof), "consistency")
    record = parse(given["record"], "the record", ENVELOPE | {"salt", "data"})
    need(sha(canonical({"data": record["data"], "salt": record["salt"]})) == record["dataSha256"], "what the record says")
    envelope_of(record, "the record")
    hashes = b"".join(hashlib.sha256(line.encode()).digest() for line in given["chains"]["lines"])
    need(sha(hashes) == given["chains"]["chainsSha256"], "the chains")
    signed(given["checkpoint"]["jws"], given["checkpoint"]["keys"], "checkpoint+jws", "the checkpoint")
    for one in given["cells"]:
        need(FORMULA.sub("'", one["text"]) == one["cell"], one["text"])
    return "the vectors are as computed"


if __name__ == "__main__":
    try:
        if sys.argv[1] == "--vectors":
            print(vectors(sys.argv[2]))
        else:
            given = dict(zip(sys.argv[2::2], sys.argv[3::2]))
            print(verify(sys.argv[1], given.get("--kid"), given.get("--ca")))
    except Fault as fault:
        sys.exit(f"does not hold: {fault}")
    except (zipfile.BadZipFile, KeyError, TypeError, ValueError, UnicodeDecodeError, OSError, AttributeError) as error:
        sys.exit(f"does not hold: it is not in the form of a pack ({type(error).__name__}: {error})")
