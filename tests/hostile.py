"""Hostile pages, texts and uploads for what becomes a PDF; a server that counts who comes, and a look into a PDF."""

import socket
import struct
import threading
import zlib
from base64 import b64encode
from contextlib import suppress
from io import BytesIO

import pypdf
from pypdf.generic import ArrayObject, DecodedStreamObject, DictionaryObject, NameObject, TextStringObject

SECRET = "MARKED-SECRET-8471"


class Listener:
    """A web server on this machine that counts who comes and redirects them to a file."""

    def __init__(self) -> None:
        self.visits = 0
        self._socket = socket.create_server(("127.0.0.1", 0))
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()

    @property
    def address(self) -> str:
        """Where it listens."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def port(self) -> int:
        """The number of its port."""
        return int(self._socket.getsockname()[1])

    def _listen(self) -> None:
        while True:
            try:
                visitor, _ = self._socket.accept()
            except OSError:
                return
            self.visits += 1
            with visitor, suppress(OSError):
                visitor.recv(4096)
                visitor.sendall(b"HTTP/1.1 302 Found\r\nLocation: file:///etc/hostname\r\nContent-Length: 0\r\n\r\n")

    def close(self) -> None:
        """Listen no more."""
        self._socket.shutdown(socket.SHUT_RDWR)
        self._socket.close()
        self._thread.join(5)


def data(kind: str, content: str) -> str:
    """A data address."""
    return f"data:{kind};base64,{b64encode(content.encode()).decode()}"


def words_of(address: str) -> dict[str, str]:
    """What the hostile pages and texts below are filled with."""
    inner = (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="9" height="9">'
        f'<image xlink:href="{address}" width="9" height="9"/><style>@import "{address}";</style></svg>'
    )
    return {
        "a": address,
        "css": data("text/css", f'@import "{address}"; p{{background:url({address})}}'),
        "svg": data("image/svg+xml", inner),
        "text": data("text/plain", SECRET),
        "picture": data("image/svg+xml", f"<svg xmlns='http://www.w3.org/2000/svg'><desc>{SECRET}</desc></svg>"),
    }


# whole pages, as if a hole let them through to the printing library
PAGES = {
    "picture": '<img src="{a}">',
    "style": '<link rel="stylesheet" href="{a}"><style>@import "{a}"; @import url({a});</style>',
    "style in data": '<link rel="stylesheet" href="{css}">',
    "background and content": '<p style="background: url({a}); list-style: url({a})">x</p><style>p::before{{content:url({a})}}</style>',
    "font": "<style>@font-face{{font-family:F;src:url({a})}} p{{font-family:F}}</style><p>x</p>",
    "attachment link": '<link rel="attachment" href="{a}"><link rel="attachment" href="{text}">',
    "picture as attachment": '<link rel="attachment" href="{picture}"><a rel="attachment" href="{picture}">y</a>',
    "attachment anchor": '<a rel="attachment" href="{a}">x</a><a rel="attachment" href="{text}">y</a>',
    "object and embed": '<object data="{a}"></object><embed src="{a}"><iframe src="{a}"></iframe>',
    "inline drawing": '<svg xmlns="http://www.w3.org/2000/svg"><image href="{a}" width="9" height="9"/><use href="{a}#x"/></svg>',
    "drawing in data": '<img src="{svg}">',
    "base": '<base href="{a}/"><img src="secret.png"><link rel="stylesheet" href="s.css">',
    "meta": '<meta name="dcterms.created" content="2001"><meta http-equiv="refresh" content="0;url={a}">',
}

# what somebody types where a name or a sentence is asked for; most break out of an attribute, a style or a drawing
TEXTS = (
    "{a}",
    '<img src="{a}">',
    '"><img src={a}>',
    "'><img src='{a}'>",
    '<link rel="stylesheet" href="{a}">',
    '</style><style>@import "{a}"; p {{ background: url({a}) }}</style>',
    "url({a})",
    "x; background: url({a})",
    "]]></text><image xlink:href='{a}' width='9' height='9'/>",
    '</text></svg><svg xmlns="http://www.w3.org/2000/svg"><use href="{a}#x"/></svg>',
    '<!DOCTYPE svg [<!ENTITY x SYSTEM "{a}">]>&x;',
    '<?xml-stylesheet href="{a}"?>',
    '<a rel="attachment" href="{a}">x</a><link rel="attachment" href="{text}">',
    '<a href="{a}">x</a>',
    '<object data="{a}"></object><iframe src="{a}"></iframe>',
    '<base href="{a}/"><meta http-equiv="refresh" content="0;url={a}">',
    '<img src="{svg}"><link rel="stylesheet" href="{css}">',
    "&lt;img src={a}&gt;",
    "![x]({a}) [x]({a})",
    "{{{{ a }}}}{{% include '{a}' %}}",
)


def hostile_png(address: str) -> bytes:
    """A picture of one dot with hidden texts and a page after its end."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))

    xmp = f'<svg xmlns="http://www.w3.org/2000/svg"><image href="{address}"/><desc>{SECRET}</desc></svg>'
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 6, 0, 0, 0))
    hidden = chunk(b"tEXt", b"Comment\0" + SECRET.encode()) + chunk(
        b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + xmp.encode()
    )
    dot = chunk(b"IDAT", zlib.compress(b"\0\x9c\x5a\x41\xff"))
    return b"\x89PNG\r\n\x1a\n" + head + hidden + dot + chunk(b"IEND", b"") + f"{SECRET}<img src={address}>".encode()


def hostile_drawing(address: str) -> bytes:
    """A drawing sent where a picture is asked for."""
    return f'<svg xmlns="http://www.w3.org/2000/svg"><image href="{address}"/><desc>{SECRET}</desc></svg>'.encode()


def hostile_pdf(address: str, file: str) -> bytes:
    """Pages of terms that link, launch, run and fetch: everything that a page can, and a file elsewhere as content."""
    writer = pypdf.PdfWriter()
    page = writer.add_blank_page(612, 792)
    acts = [("/URI", "/URI", address), ("/Launch", "/F", file), ("/GoToR", "/F", file), ("/SubmitForm", "/F", address)]
    links = []
    for kind, key, where in acts:
        action = DictionaryObject({NameObject("/S"): NameObject(kind), NameObject(key): TextStringObject(where)})
        links.append(
            writer._add_object(
                DictionaryObject(
                    {
                        NameObject("/Type"): NameObject("/Annot"),
                        NameObject("/Subtype"): NameObject("/Link"),
                        NameObject("/Rect"): ArrayObject([pypdf.generic.NumberObject(n) for n in (0, 0, 99, 99)]),
                        NameObject("/A"): action,
                    }
                )
            )
        )
    page[NameObject("/Annots")] = ArrayObject(links)
    script = {NameObject("/S"): NameObject("/JavaScript"), NameObject("/JS"): TextStringObject(f"fetch('{address}')")}
    page[NameObject("/AA")] = DictionaryObject({NameObject("/O"): DictionaryObject(script)})
    writer.root_object[NameObject("/OpenAction")] = DictionaryObject(script)
    away = DecodedStreamObject()
    away.set_data(b"")
    away[NameObject("/F")] = TextStringObject(file)
    away[NameObject("/Type")] = NameObject("/XObject")
    away[NameObject("/Subtype")] = NameObject("/Image")
    own = DictionaryObject({NameObject("/X"): writer._add_object(away)})
    page[NameObject("/Resources")] = DictionaryObject({NameObject("/XObject"): own})
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


ACTING = {"/URI", "/Launch", "/GoToR", "/GoToE", "/SubmitForm", "/ImportData", "/JavaScript", "/Rendition", "/Movie"}


def met_in(made: bytes, *addresses: str) -> list[str]:
    """What a PDF holds that it must not: the secret, another file, what acts, or a stream that lies elsewhere."""
    reader = pypdf.PdfReader(BytesIO(made))
    found = ["an attachment"] if reader.attachments else []
    held = made
    for number in range(1, int(reader.trailer["/Size"])):
        with suppress(pypdf.errors.PdfReadError):
            one = reader.get_object(number)
            if isinstance(one, DictionaryObject):
                acts = one.get("/S") in ACTING or "/JS" in one or "/EmbeddedFile" in one.values()
                away = isinstance(one, pypdf.generic.StreamObject) and "/F" in one
                told = str(
                    {key: value for key, value in one.items() if key in {"/A", "/AA", "/OpenAction", "/URI", "/F"}}
                )
                found += ["what acts"] if acts or any(name in told for name in addresses) else []
                found += ["a stream elsewhere"] if away else []
            held += one.get_data() if hasattr(one, "get_data") else b""
    text = "".join(page.extract_text() for page in reader.pages)
    found += ["the secret"] if SECRET.encode() in held or SECRET in text else []
    return found
