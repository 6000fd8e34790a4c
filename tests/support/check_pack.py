"""Checks an audit pack as its read-me.txt says, with Python's standard library and openssl, knowing nothing of the service's code."""
import base64
import hashlib
import json
import subprocess
import sys
import tempfile
import zipfile


def canonical(value):
    # RFC 8785 for what records hold: keys by UTF-16 code unit, numbers as ECMAScript writes them.
    if isinstance(value, dict):
        keys = sorted(value, key=lambda key: key.encode("utf-16-be"))
        return "{" + ",".join(canonical(key) + ":" + canonical(value[key]) for key in keys) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(canonical, value)) + "]"
    if isinstance(value, float):
        return str(int(value)) if value == int(value) else repr(value)
    return json.dumps(value, ensure_ascii=False)


def sha(data):
    return hashlib.sha256(data if isinstance(data, bytes) else data.encode()).hexdigest()


def unb64(text):
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def der(raw):
    # ECDSA signatures: r and s side by side in JOSE (RFC 7518 3.4), a DER sequence for openssl.
    def integer(part):
        part = part.lstrip(b"\0") or b"\0"
        part = b"\0" + part if part[0] & 0x80 else part
        return b"\2" + bytes([len(part)]) + part

    body = integer(raw[:32]) + integer(raw[32:])
    return b"\x30" + bytes([len(body)]) + body


def verified(jws, keys):
    head, payload, signature = jws.split(".")
    header = json.loads(unb64(head))
    key = next(key for key in keys if key["kid"] == header["kid"])
    point = {name: key[name] for name in ("crv", "kty", "x", "y")}
    thumbprint = base64.urlsafe_b64encode(hashlib.sha256(canonical(point).encode()).digest()).rstrip(b"=").decode()
    assert header["alg"] == "ES256" and thumbprint == key["kid"], "the key"
    # SubjectPublicKeyInfo of a P-256 key (RFC 5480).
    spki = bytes.fromhex("3059301306072a8648ce3d020106082a8648ce3d030107034200") + b"\4" + unb64(key["x"]) + unb64(key["y"])
    with tempfile.TemporaryDirectory() as folder:
        for name, content in (("key", spki), ("sig", der(unb64(signature))), ("text", f"{head}.{payload}".encode())):
            with open(f"{folder}/{name}", "wb") as file:
                file.write(content)
        pem = subprocess.run(["openssl", "pkey", "-pubin", "-inform", "DER", "-in", f"{folder}/key", "-out", f"{folder}/pem"])
        assert pem.returncode == 0, "the key's form"
        check = ["openssl", "dgst", "-sha256", "-verify", f"{folder}/pem", "-signature", f"{folder}/sig", f"{folder}/text"]
        assert subprocess.run(check, stdout=subprocess.DEVNULL).returncode == 0, "the signature"
    return unb64(payload)


def node(left, right):
    return hashlib.sha256(b"\1" + left + right).digest()


pack = zipfile.ZipFile(sys.argv[1])
keys = json.loads(pack.read("keys.json"))["keys"]
signed = verified(pack.read("manifest.jws").decode(), keys)
assert signed == pack.read("manifest.json"), "the manifest"
manifest = json.loads(signed)
for file in manifest["files"]:
    content = pack.read(file["name"])
    assert (len(content), sha(content)) == (file["bytes"], file["sha256"]), file["name"]
assert {entry.filename for entry in pack.infolist()} == {file["name"] for file in manifest["files"]} | {"manifest.json", "manifest.jws"}

leaves, last, photos = [], {}, set()
for line in pack.read("records.ndjson").decode().split("\n")[:-1]:
    record = json.loads(line)
    assert canonical(record) == line, record["id"]
    hashed = record.pop("sha256")
    said = {"data": record.pop("data"), "salt": record.pop("salt")}
    assert said["data"] is None or sha(canonical(said)) == record["dataSha256"], record["id"]
    assert sha(canonical(record)) == hashed, record["id"]
    position, previous = last.get(record["chainId"], (None, None))
    assert position != record["position"] - 1 or previous == record["previousSha256"], record["id"]
    last[record["chainId"]] = (record["position"], hashed)
    photos |= {photo["sha256"] for photo in (said["data"] or {}).get("photos", [])}
    leaves.append(hashlib.sha256(b"\0" + bytes.fromhex(hashed)).digest())

for file in manifest["files"]:
    if file["name"].startswith("photos/"):
        assert file["name"][7:71] == file["sha256"] and file["sha256"] in photos, file["name"]

records = iter(leaves)
edge, size = [], 0
for line in pack.read("tree.ndjson").decode().split("\n")[:-1]:
    part = json.loads(line)
    assert part["index"] << part["level"] == size, line
    level, index = part["level"], part["index"]
    value = bytes.fromhex(part["sha256"]) if "sha256" in part else next(records)
    while index % 2:
        value, level, index = node(edge.pop(), value), level + 1, index // 2
    edge.append(value)
    size += 1 << part["level"]
assert next(records, None) is None, "a record without a leaf"
root = edge.pop() if edge else hashlib.sha256(b"").digest()
while edge:
    root = node(edge.pop(), root)

checkpoint = json.loads(pack.read("checkpoints.ndjson").decode().split("\n")[-2])
claim = json.loads(verified(checkpoint["jws"], keys))
assert (claim["treeSize"], claim["rootSha256"]) == (size, root.hex()), "the root"
assert claim["number"] == manifest["checkpoint"] and claim["firmId"] == manifest["firmId"], "the checkpoint"
print(f"holds: {len(leaves)} records among {size}, root {root.hex()}")
