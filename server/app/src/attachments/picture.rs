//! Looking into a file that was sent: what it is, and for a picture, making it anew.
//!
//! A picture is decoded, turned upright and encoded again. What was written into the file besides, such as where it was
//! taken, is not carried over, and neither is anything that is no picture.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits};

use super::store::MediaType;
use crate::error::{Code, Refused, refuse};

/// The longest edge of a picture as kept, in pixels: a cracked weld still shows, and it loads on a weak signal.
const LONGEST_EDGE: u32 = 2048;
/// JPEG quality, 1 to 100 (common practice, no source).
const QUALITY: u8 = 82;
/// The largest picture decoded, in pixels along an edge and in bytes of memory.
const LARGEST_EDGE: u32 = 12_000;
const MOST_MEMORY: u64 = 256 * 1024 * 1024;
/// What a PDF begins with (ISO 32000-1 §7.5.2).
const PDF: &[u8] = b"%PDF-";

/// A file as it will be kept.
pub(super) struct Looked {
    /// What it is.
    pub(super) media_type: MediaType,
    /// Its bytes.
    pub(super) bytes: Vec<u8>,
}

/// Looks into a file. Slow for pictures: run it where waiting is allowed.
///
/// # Errors
/// `file_not_readable`.
pub(super) fn look(bytes: Vec<u8>) -> Result<Looked, Refused> {
    if bytes.starts_with(PDF) {
        return Ok(Looked { media_type: MediaType::Pdf, bytes });
    }
    match image::guess_format(&bytes) {
        Ok(format @ (ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP)) => {
            let bytes = anew(&bytes, format).map_err(|_| unreadable())?;
            Ok(Looked { media_type: MediaType::Jpeg, bytes })
        }
        _ => Err(unreadable()),
    }
}

fn unreadable() -> Refused {
    refuse(Code::FileNotReadable, "Send a PDF, or a picture as JPEG, PNG or WebP that opens elsewhere.")
}

fn anew(bytes: &[u8], format: ImageFormat) -> image::ImageResult<Vec<u8>> {
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    reader.limits(limits());
    let mut decoder = reader.into_decoder()?;
    // What it unfolds to is known before it is unfolded; not every decoder minds the limit by itself.
    limits().reserve(decoder.total_bytes())?;
    let orientation = decoder.orientation()?;
    let mut picture = DynamicImage::from_decoder(decoder)?;
    if picture.width().max(picture.height()) > LONGEST_EDGE {
        picture = picture.resize(LONGEST_EDGE, LONGEST_EDGE, FilterType::CatmullRom);
    }
    picture.apply_orientation(orientation);
    let mut kept = Vec::new();
    // JPEG knows no transparency.
    JpegEncoder::new_with_quality(&mut kept, QUALITY).encode_image(&picture.into_rgb8())?;
    Ok(kept)
}

fn limits() -> Limits {
    let mut limits = Limits::default();
    limits.max_image_width = Some(LARGEST_EDGE);
    limits.max_image_height = Some(LARGEST_EDGE);
    limits.max_alloc = Some(MOST_MEMORY);
    limits
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A grey picture, as JPEG, with what a phone writes into it: turned by a quarter, and taken somewhere (Exif 2.3 §4.6).
    fn photo(width: u32, height: u32) -> Vec<u8> {
        let mut plain = Vec::new();
        let picture = DynamicImage::new_luma8(width, height).into_rgb8();
        JpegEncoder::new_with_quality(&mut plain, 90).encode_image(&picture).unwrap();
        let mut exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x02".to_vec();
        exif.extend(b"\x01\x12\0\x03\0\0\0\x01\0\x06\0\0"); // orientation 6: turn right to see it upright
        exif.extend(b"\x88\x25\0\x04\0\0\0\x01\0\0\0\x26\0\0\0\0"); // the position stands at byte 38
        exif.extend(b"\0\x01\0\x01\0\x02\0\0\0\x02N\0\0\0\0\0\0\0"); // north
        let length = u16::try_from(exif.len() + 2).unwrap().to_be_bytes();
        let (soi, rest) = plain.split_at(2);
        [soi, b"\xff\xe1", &length, &exif, rest].concat()
    }

    #[test]
    fn a_photo_is_turned_upright_and_says_no_longer_where_it_was_taken() {
        let sent = photo(40, 20);
        assert!(sent.windows(4).any(|bytes| bytes == b"Exif"));
        let looked = look(sent).unwrap();
        assert_eq!(looked.media_type, MediaType::Jpeg);
        assert!(!looked.bytes.windows(4).any(|bytes| bytes == b"Exif"));
        let kept = image::load_from_memory(&looked.bytes).unwrap();
        assert_eq!((kept.width(), kept.height()), (20, 40));
    }

    #[test]
    fn a_large_picture_becomes_smaller_and_a_png_becomes_a_jpeg() {
        let mut png = Cursor::new(Vec::new());
        DynamicImage::new_rgba8(3000, 1000).write_to(&mut png, ImageFormat::Png).unwrap();
        let looked = look(png.into_inner()).unwrap();
        assert_eq!(image::guess_format(&looked.bytes).unwrap(), ImageFormat::Jpeg);
        let kept = image::load_from_memory(&looked.bytes).unwrap();
        assert_eq!((kept.width(), kept.height()), (2048, 683));
    }

    #[test]
    fn what_unfolds_into_more_than_there_is_room_for_is_refused_unread() {
        let mut wide = Cursor::new(Vec::new());
        DynamicImage::new_luma8(LARGEST_EDGE + 1, 1).write_to(&mut wide, ImageFormat::Png).unwrap();
        // Within the edges, but 432 MB of pixels: the height and width of the frame header (ITU-T T.81 §B.2.2) say so.
        let mut bomb = photo(40, 20);
        let frame = bomb.windows(2).position(|bytes| bytes == b"\xff\xc0").unwrap();
        for (at, byte) in [12_000_u16, 12_000].into_iter().flat_map(u16::to_be_bytes).enumerate() {
            bomb[frame + 5 + at] = byte;
        }
        for (bytes, format) in [(wide.into_inner(), ImageFormat::Png), (bomb, ImageFormat::Jpeg)] {
            assert!(bytes.len() < 100_000);
            assert!(matches!(anew(&bytes, format), Err(image::ImageError::Limits(_))), "{format:?}");
            assert_eq!(look(bytes).err().map(|refused| refused.code), Some(Code::FileNotReadable));
        }
    }

    #[test]
    fn what_is_no_picture_and_no_pdf_is_refused() {
        let html = b"<html><script>alert(1)</script></html>".to_vec();
        let cut = photo(40, 20).into_iter().take(60).collect();
        for bytes in [html, cut, Vec::new(), b"GIF89a".to_vec()] {
            assert_eq!(look(bytes).err().map(|refused| refused.code), Some(Code::FileNotReadable));
        }
        assert_eq!(look(b"%PDF-1.4\n".to_vec()).unwrap().media_type, MediaType::Pdf);
    }
}
