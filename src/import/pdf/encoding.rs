//! Which letter a code of a font, or the name of one, stands for.
//!
//! Source of the tables: ISO 32000-1, annex D, and the Adobe Glyph List 2.0, as reportlab 5.1 and fontTools hold them.

/// The letters of a font that has no table of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Encoding {
    Standard,
    WinAnsi,
    MacRoman,
}

impl Encoding {
    pub(super) fn named(name: &[u8]) -> Option<Self> {
        match name {
            b"WinAnsiEncoding" => Some(Self::WinAnsi),
            b"MacRomanEncoding" => Some(Self::MacRoman),
            b"StandardEncoding" => Some(Self::Standard),
            _ => None,
        }
    }

    /// The letter of a code; none where the table has none.
    pub(super) fn letter(self, code: u8) -> Option<char> {
        let upper = |table: &str| table.chars().nth(usize::from(code.wrapping_sub(128)));
        let letter = match (self, code) {
            (Self::Standard, b'\'') => Some('’'),
            (Self::Standard, b'`') => Some('‘'),
            (_, 0..=31 | 127) => None,
            (_, 32..=126) => Some(char::from(code)),
            (Self::WinAnsi, _) => upper(WIN_ANSI),
            (Self::MacRoman, _) => upper(MAC_ROMAN),
            (Self::Standard, _) => upper(STANDARD),
        };
        letter.filter(|letter| *letter != char::REPLACEMENT_CHARACTER)
    }
}

/// The letters of a text of the document: UTF-16 or UTF-8 with its mark, else `PDFDocEncoding` (§7.9.2.2).
pub(super) fn document_text(bytes: &[u8]) -> String {
    if let Some(wide) = bytes.strip_prefix(&[0xfe, 0xff]) {
        return utf16(wide);
    }
    if let Some(wide) = bytes.strip_prefix(&[0xff, 0xfe]) {
        let units: Vec<u16> =
            wide.chunks_exact(2).map(|pair| u16::from_le_bytes([pair[0], pair[1]])).collect();
        return String::from_utf16_lossy(&units);
    }
    if let Some(text) = bytes.strip_prefix(&[0xef, 0xbb, 0xbf]) {
        return String::from_utf8_lossy(text).into_owned();
    }
    let letter = |byte: &u8| match byte {
        0x18..=0x1f => DOCUMENT_LOW.chars().nth(usize::from(byte - 0x18)),
        0x80..=0xa0 => DOCUMENT.chars().nth(usize::from(byte - 0x80)),
        other => Some(char::from(*other)),
    };
    bytes.iter().filter_map(letter).collect()
}

/// Letters out of UTF-16, high byte first.
pub(super) fn utf16(bytes: &[u8]) -> String {
    let units: Vec<u16> = bytes.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
    String::from_utf16_lossy(&units)
}

/// The letter that a name of the Adobe Glyph List stands for.
pub(super) fn letter_named(name: &[u8]) -> Option<char> {
    let name = std::str::from_utf8(name).ok()?;
    // Variants of a letter: `a.sc`, `one.oldstyle`.
    let stem = name.split('.').next().unwrap_or(name);
    let mut words = NAMES.split(' ');
    while let (Some(known), Some(code)) = (words.next(), words.next()) {
        if known == stem {
            return u32::from_str_radix(code, 16).ok().and_then(char::from_u32);
        }
    }
    let code = stem.strip_prefix("uni").filter(|digits| digits.len() == 4);
    let code = code.or_else(|| stem.strip_prefix('u').filter(|digits| (4..=6).contains(&digits.len())));
    code.and_then(|digits| u32::from_str_radix(digits, 16).ok()).and_then(char::from_u32)
}

/// The upper half of `WinAnsiEncoding` (ISO 32000-1, annex D.2: Windows code page 1252).
const WIN_ANSI: &str = "\
    €\u{fffd}‚ƒ„…†‡ˆ‰Š‹Œ\u{fffd}Ž\u{fffd}\u{fffd}‘’“”•–—˜™š›œ\u{fffd}žŸ\u{a0}¡¢£¤¥¦§¨©ª«¬\u{ad}\
    ®¯°±²³´µ¶·¸¹º»¼½¾¿ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖ×ØÙÚÛÜÝÞßàáâãäåæçèéêëìíîïðñòóôõö÷øùúûüýþÿ";

/// The upper half of `MacRomanEncoding`.
const MAC_ROMAN: &str = "\
    ÄÅÇÉÑÖÜáàâäãåçéèêëíìîïñóòôöõúùûü†°¢£§•¶ß®©™´¨≠ÆØ∞±≤≥¥µ∂∑∏π∫ªºΩæø¿¡¬√ƒ≈∆«»…\u{a0}ÀÃÕŒœ–—“”‘’\
    ÷◊ÿŸ⁄€‹›ﬁﬂ‡·‚„‰ÂÊÁËÈÍÎÏÌÓÔ\u{f8ff}ÒÚÛÙıˆ˜¯˘˙˚¸˝˛ˇ";

/// The upper half of `StandardEncoding`.
const STANDARD: &str = "\
    \u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\
    \u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\
    \u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}¡¢£⁄¥ƒ§¤\u{27}“«‹›ﬁ\
    ﬂ\u{fffd}–†‡·\u{fffd}¶•‚„”»…‰\u{fffd}¿\u{fffd}\u{60}´ˆ˜¯˘˙¨\u{fffd}˚¸\u{fffd}˝˛ˇ—\u{fffd}\u{fffd}\
    \u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\
    \u{fffd}\u{fffd}Æ\u{fffd}ª\u{fffd}\u{fffd}\u{fffd}\u{fffd}ŁØŒº\u{fffd}\u{fffd}\u{fffd}\u{fffd}\
    \u{fffd}æ\u{fffd}\u{fffd}\u{fffd}ı\u{fffd}\u{fffd}łøœß\u{fffd}\u{fffd}\u{fffd}\u{fffd}";

/// `PDFDocEncoding` from 0x80 to 0xa0 (annex D.3).
const DOCUMENT: &str = "\
    •†‡…—–ƒ⁄‹›−‰„“”‘’‚™ﬁﬂŁŒŠŸŽıłœšž\u{fffd}€";

/// `PDFDocEncoding` from 0x18 to 0x1f.
const DOCUMENT_LOW: &str = "\
    ˘ˇˆ˙˝˛˚˜";

/// Names of letters with their code points, from the Adobe Glyph List 2.0: Latin, and what drawings use beside.
const NAMES: &str = "\
    space 0020 exclam 0021 quotedbl 0022 numbersign 0023 dollar 0024 percent 0025 ampersand 0026 \
    quotesingle 0027 parenleft 0028 parenright 0029 asterisk 002a plus 002b comma 002c hyphen 002d \
    period 002e slash 002f zero 0030 one 0031 two 0032 three 0033 four 0034 five 0035 six 0036 seven \
    0037 eight 0038 nine 0039 colon 003a semicolon 003b less 003c equal 003d greater 003e question 003f \
    at 0040 A 0041 B 0042 C 0043 D 0044 E 0045 F 0046 G 0047 H 0048 I 0049 J 004a K 004b L 004c M 004d N \
    004e O 004f P 0050 Q 0051 R 0052 S 0053 T 0054 U 0055 V 0056 W 0057 X 0058 Y 0059 Z 005a bracketleft \
    005b backslash 005c bracketright 005d asciicircum 005e underscore 005f grave 0060 a 0061 b 0062 c \
    0063 d 0064 e 0065 f 0066 g 0067 h 0068 i 0069 j 006a k 006b l 006c m 006d n 006e o 006f p 0070 q \
    0071 r 0072 s 0073 t 0074 u 0075 v 0076 w 0077 x 0078 y 0079 z 007a braceleft 007b bar 007c \
    braceright 007d asciitilde 007e exclamdown 00a1 cent 00a2 sterling 00a3 currency 00a4 yen 00a5 \
    brokenbar 00a6 section 00a7 dieresis 00a8 copyright 00a9 ordfeminine 00aa guillemotleft 00ab \
    logicalnot 00ac registered 00ae macron 00af degree 00b0 plusminus 00b1 acute 00b4 mu 00b5 paragraph \
    00b6 periodcentered 00b7 cedilla 00b8 ordmasculine 00ba guillemotright 00bb onequarter 00bc onehalf \
    00bd threequarters 00be questiondown 00bf Agrave 00c0 Aacute 00c1 Acircumflex 00c2 Atilde 00c3 \
    Adieresis 00c4 Aring 00c5 AE 00c6 Ccedilla 00c7 Egrave 00c8 Eacute 00c9 Ecircumflex 00ca Edieresis \
    00cb Igrave 00cc Iacute 00cd Icircumflex 00ce Idieresis 00cf Eth 00d0 Ntilde 00d1 Ograve 00d2 Oacute \
    00d3 Ocircumflex 00d4 Otilde 00d5 Odieresis 00d6 multiply 00d7 Oslash 00d8 Ugrave 00d9 Uacute 00da \
    Ucircumflex 00db Udieresis 00dc Yacute 00dd Thorn 00de germandbls 00df agrave 00e0 aacute 00e1 \
    acircumflex 00e2 atilde 00e3 adieresis 00e4 aring 00e5 ae 00e6 ccedilla 00e7 egrave 00e8 eacute 00e9 \
    ecircumflex 00ea edieresis 00eb igrave 00ec iacute 00ed icircumflex 00ee idieresis 00ef eth 00f0 \
    ntilde 00f1 ograve 00f2 oacute 00f3 ocircumflex 00f4 otilde 00f5 odieresis 00f6 divide 00f7 oslash \
    00f8 ugrave 00f9 uacute 00fa ucircumflex 00fb udieresis 00fc yacute 00fd thorn 00fe ydieresis 00ff \
    Amacron 0100 amacron 0101 Abreve 0102 abreve 0103 Aogonek 0104 aogonek 0105 Cacute 0106 cacute 0107 \
    Ccircumflex 0108 ccircumflex 0109 Cdotaccent 010a cdotaccent 010b Ccaron 010c ccaron 010d Dcaron \
    010e dcaron 010f Dcroat 0110 dcroat 0111 Emacron 0112 emacron 0113 Ebreve 0114 ebreve 0115 \
    Edotaccent 0116 edotaccent 0117 Eogonek 0118 eogonek 0119 Ecaron 011a ecaron 011b Gcircumflex 011c \
    gcircumflex 011d Gbreve 011e gbreve 011f Gdotaccent 0120 gdotaccent 0121 Hcircumflex 0124 \
    hcircumflex 0125 Hbar 0126 hbar 0127 Itilde 0128 itilde 0129 Imacron 012a imacron 012b Ibreve 012c \
    ibreve 012d Iogonek 012e iogonek 012f Idotaccent 0130 dotlessi 0131 IJ 0132 ij 0133 Jcircumflex 0134 \
    jcircumflex 0135 kgreenlandic 0138 Lacute 0139 lacute 013a Lcaron 013d lcaron 013e Ldot 013f ldot \
    0140 Lslash 0141 lslash 0142 Nacute 0143 nacute 0144 Ncaron 0147 ncaron 0148 napostrophe 0149 Eng \
    014a eng 014b Omacron 014c omacron 014d Obreve 014e obreve 014f Ohungarumlaut 0150 ohungarumlaut \
    0151 OE 0152 oe 0153 Racute 0154 racute 0155 Rcaron 0158 rcaron 0159 Sacute 015a sacute 015b \
    Scircumflex 015c scircumflex 015d Scedilla 015e scedilla 015f Scaron 0160 scaron 0161 Tcaron 0164 \
    tcaron 0165 Tbar 0166 tbar 0167 Utilde 0168 utilde 0169 Umacron 016a umacron 016b Ubreve 016c ubreve \
    016d Uring 016e uring 016f Uhungarumlaut 0170 uhungarumlaut 0171 Uogonek 0172 uogonek 0173 \
    Wcircumflex 0174 wcircumflex 0175 Ycircumflex 0176 ycircumflex 0177 Ydieresis 0178 Zacute 0179 \
    zacute 017a Zdotaccent 017b zdotaccent 017c Zcaron 017d zcaron 017e longs 017f florin 0192 \
    circumflex 02c6 caron 02c7 breve 02d8 dotaccent 02d9 ring 02da ogonek 02db tilde 02dc hungarumlaut \
    02dd pi 03c0 endash 2013 emdash 2014 quoteleft 2018 quoteright 2019 quotesinglbase 201a quotedblleft \
    201c quotedblright 201d quotedblbase 201e dagger 2020 daggerdbl 2021 bullet 2022 ellipsis 2026 \
    perthousand 2030 guilsinglleft 2039 guilsinglright 203a fraction 2044 Euro 20ac trademark 2122 \
    arrowleft 2190 arrowup 2191 arrowright 2192 arrowdown 2193 arrowboth 2194 arrowupdn 2195 minus 2212 \
    approxequal 2248 lessequal 2264 greaterequal 2265 lozenge 25ca fi fb01 fl fb02";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_has_a_letter_for_each_of_its_codes() {
        for table in [WIN_ANSI, MAC_ROMAN, STANDARD] {
            assert_eq!(table.chars().count(), 128);
        }
        assert_eq!((DOCUMENT.chars().count(), DOCUMENT_LOW.chars().count()), (33, 8));
        // Values of ISO 32000-1, table D.2.
        assert_eq!(Encoding::WinAnsi.letter(0x80), Some('€'));
        assert_eq!(Encoding::MacRoman.letter(0o212), Some('ä'));
        assert_eq!(Encoding::Standard.letter(0o256), Some('ﬁ'));
        assert_eq!(Encoding::Standard.letter(0o300), None);
    }

    #[test]
    fn names_and_texts_are_decoded() {
        assert_eq!(letter_named(b"eacute"), Some('é'));
        assert_eq!(letter_named(b"uni00DF"), Some('ß'));
        assert_eq!(letter_named(b"one.oldstyle"), Some('1'));
        assert_eq!(letter_named(b"g27"), None);
        assert_eq!(document_text(b"\xfe\xff\0S\0\xfc\0d"), "Süd");
        assert_eq!(document_text(b"\xef\xbb\xbfGr\xc3\xb6\xc3\x9fe"), "Größe");
        assert_eq!(document_text(b"Gr\xf6\xdfe \x84 1"), "Größe — 1");
    }
}
