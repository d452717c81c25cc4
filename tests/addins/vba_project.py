"""Reading the macros of a vbaProject.bin: a compound file with compressed sources.

After MS-CFB and MS-OVBA 2.4.1; what is read is the text that the macro editor shows.
"""

import struct

FREE = 0xFFFFFFFA


def modules(content):
    """The source of every module, under its name.

    Parameters
    ----------
    content : bytes

    Returns
    -------
    sources : dict of str to str
    """
    found = {}
    for name, stream in _streams(content):
        start = stream.find(b"\x00Attribut")
        if start >= 3:
            found[name] = _decompressed(stream[start - 3 :]).decode("latin-1")
    return found


def _decompressed(data):
    out, place = bytearray(), 1
    while place < len(data):
        (head,) = struct.unpack_from("<H", data, place)
        end, start = min(place + (head & 0xFFF) + 3, len(data)), len(out)
        place += 2
        while place < end:
            flags, place = data[place], place + 1
            for bit in range(8):
                if place >= end:
                    break
                if not flags >> bit & 1:
                    out.append(data[place])
                    place += 1
                    continue
                (token,) = struct.unpack_from("<H", data, place)
                bits = max((len(out) - start - 1).bit_length(), 4)
                for _ in range((token & (0xFFFF >> bits)) + 3):
                    out.append(out[-(token >> (16 - bits)) - 1])
                place += 2
    return bytes(out)


def _streams(content):
    size, small = (1 << n for n in struct.unpack_from("<HH", content, 30))
    count, first, _, cutoff, mini_table = struct.unpack_from("<IIIII", content, 44)

    def sector(number):
        return content[(number + 1) * size : (number + 2) * size]

    table = []
    for number in struct.unpack_from("<109I", content, 76)[:count]:
        table += struct.unpack(f"<{size // 4}I", sector(number))

    def chain(number):
        whole = b""
        while number < FREE:
            whole += sector(number)
            number = table[number]
        return whole

    folder, minis = chain(first), chain(mini_table)
    mini = struct.unpack(f"<{len(minis) // 4}I", minis)
    entries = [folder[place : place + 128] for place in range(0, len(folder), 128)]
    small_sectors = chain(struct.unpack_from("<I", entries[0], 116)[0])
    for entry in entries:
        (length,) = struct.unpack_from("<H", entry, 64)
        number, total = struct.unpack_from("<II", entry, 116)
        if entry[66] != 2:
            continue
        whole = b""
        if total >= cutoff:
            whole = chain(number)
        else:
            while number < FREE:
                whole += small_sectors[number * small : (number + 1) * small]
                number = mini[number]
        yield entry[: max(length - 2, 0)].decode("utf-16le"), whole[:total]
