"""Names of people who do not exist, in fifteen scripts, made of syllables; the same seed gives the same names."""

from __future__ import annotations

import random
from collections.abc import Iterator

SYLLABLES = {
    "Latin": "ba re lin mar to sel ka ün dør ać via no že ril",
    "Greek": "Αλ ρι νο πα δη σο λα μι κε θα",
    "Cyrillic": "ба ре лин мар то сел ка жу ви щер",
    "Arabic": "با ري لين مار تو سل كا نو حم شي",
    "Hebrew": "בא רי לין מר תו סל כא נו חם שי",
    "Devanagari": "बा री लिन मर तो क्ष का नू शी त्र",
    "Bengali": "বা রী লিন মর তো ক্ষ কা নূ শী ত্র",
    "Gurmukhi": "ਬਾ ਰੀ ਲਿਨ ਮਰ ਤੋ ਪ੍ਰ ਕਾ ਨੂ ਸ਼ੀ ਤਰ",
    "Tamil": "பா ரீ லின் மர் தோ ஸ்ரீ கா நூ ஷீ தி",
    "Thai": "บา รี ลิน มา โต สม กา นู ชี ไท",
    "Georgian": "ბა რი ლინ მარ თო სელ კა ნუ ში ჯა",
    "Armenian": "Բա րի լին մար տո սել կա նու շի ջա",
    "Han": "王 李 芳 伟 娜 静 敏 龘 磊 洋",
    "Kana": "さ く ら タ ナ カ み ど り ノ",
    "Hangul": "김 서 연 민 준 하 은 지 우 도",
}
"""By script (ISO 15924), invented."""

_WORDS = (1, 2, 2, 2, 3)
_LENGTHS = (2, 2, 3, 3, 4, 5)


def invented_names(count: int, seed: int = 1) -> Iterator[tuple[str, str]]:
    """Yield so many names with their scripts, the scripts in turn."""
    chance = random.Random(seed)
    scripts = list(SYLLABLES)
    for number in range(count):
        script = scripts[number % len(scripts)]
        syllables = SYLLABLES[script].split()
        words = [
            "".join(chance.choice(syllables) for _ in range(chance.choice(_LENGTHS))).capitalize()
            for _ in range(chance.choice(_WORDS))
        ]
        yield script, " ".join(words)
