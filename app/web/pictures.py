"""A kept picture as the answer; its bytes never change under its name."""

from fastapi.responses import Response

from app.services.photos import Picture


def picture_answer(picture: Picture) -> Response:
    """The picture, kept by the device for a year."""
    ending = picture.kind.removeprefix("image/")
    headers = {
        "cache-control": "private, max-age=31536000, immutable",
        "content-disposition": f'inline; filename="{picture.name[:12]}.{ending}"',
        "etag": f'"{picture.name}"',
    }
    return Response(picture.content, media_type=picture.kind, headers=headers)
