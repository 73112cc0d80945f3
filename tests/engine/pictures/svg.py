"""Read what a drawn picture says."""

from xml.etree import ElementTree


def words(svg: bytes) -> list[str]:
    """Return the texts of a picture that the test itself had drawn."""
    root = ElementTree.fromstring(svg)  # noqa: S314 - our own output
    texts = [each for each in root.iter() if each.tag.endswith("}text")]
    return [" ".join("".join(each.itertext()).split()) for each in texts]
