"""A photo is kept as a picture and nothing else: bounded, made small, without metadata."""

from io import BytesIO

import pytest
from PIL import Image

from fleet import photo_files
from fleet.photo_files import LONGEST_SIDE, small_photo, write_photo
from fleet.refusal import Refusal


def picture(size=(40, 20), kind="JPEG", **more):
    file = BytesIO()
    Image.new("RGB", size, (200, 30, 30)).save(file, kind, **more)
    return file.getvalue()


def with_place():
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif[0x010F] = "Camera of Dee Wren"
    exif[0x8825] = {1: "N", 2: (40.0, 1.0, 2.0)}
    return picture(exif=exif)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_each_kind_becomes_a_small_jpeg(kind):
    file, size = small_photo(picture((3200, 800), kind))
    with Image.open(BytesIO(file)) as made:
        assert (made.format, made.size, size) == ("JPEG", (1600, 400), (LONGEST_SIDE, 400))


def test_place_and_device_are_gone_and_it_stands_upright():
    file, size = small_photo(with_place())
    assert size == (20, 40)
    assert b"Dee Wren" not in file
    with Image.open(BytesIO(file)) as made:
        assert not dict(made.getexif())


@pytest.mark.parametrize(
    "sent",
    [
        b"", b"<svg onload=alert(1)>", b"\xff\xd8\xff\xe0 no picture", picture()[:60],
        picture(kind="GIF"), picture(kind="TIFF"),
    ],
    ids=["nothing", "svg", "head alone", "cut off", "gif", "tiff"],
)  # fmt: skip
def test_what_is_no_photo_is_refused_in_a_sentence(sent):
    with pytest.raises(Refusal, match="no photo that can be shown"):
        small_photo(sent)


def test_bounds_stand_before_it_is_decoded(monkeypatch):
    monkeypatch.setattr(photo_files, "MOST_BYTES", 300)
    with pytest.raises(Refusal, match="at most"):
        small_photo(picture((400, 400), "PNG") + bytes(300))
    monkeypatch.setattr(photo_files, "MOST_PIXELS", 100)
    with pytest.raises(Refusal, match="too many pixels"):
        small_photo(picture((11, 10), "PNG"))


def test_only_the_site_may_read_its_file(tmp_path):
    write_photo(tmp_path, "2026/03/a.jpg", b"x")
    place = tmp_path / "2026/03/a.jpg"
    assert place.read_bytes() == b"x"
    assert place.stat().st_mode & 0o077 == 0
