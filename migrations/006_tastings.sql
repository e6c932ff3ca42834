-- Why: a palate decides, so what it said of which version of a drink is kept; and a book leaves the house as it
-- came, so its text is kept as it was added, spacing and comments between the sections with it.

-- A trial of a drink: who tasted which version when, and what they said.
CREATE TABLE tasting (
    id              INTEGER PRIMARY KEY,
    spec_version_id INTEGER NOT NULL REFERENCES spec_version ON DELETE CASCADE,
    verdict         TEXT NOT NULL CHECK (verdict <> ''),  -- `right`, or what was off: `too sweet; too weak`; or free words
    note            TEXT NOT NULL,                        -- what else was said
    taster          TEXT NOT NULL,                        -- as the caller says; '' where they do not
    tasted_at       TEXT NOT NULL CHECK (tasted_at <> '')  -- as the caller says, ISO 8601
) STRICT;
CREATE INDEX tasting_by_version ON tasting (spec_version_id, tasted_at);

-- The text of a book as it was last added.
CREATE TABLE book_text (
    book_id   INTEGER PRIMARY KEY REFERENCES book ON DELETE CASCADE,
    book_text TEXT NOT NULL
) STRICT;

-- For readers: every trial with its drink; `is_current` where it was of the version that is poured.
CREATE VIEW tastings AS
SELECT d.name AS drink, b.title AS book, s.version, t.verdict, t.note, t.taster, t.tasted_at,
       d.removed_at IS NULL AND s.version = (SELECT max(version) FROM spec_version v WHERE v.drink_id = d.id) AS is_current
FROM tasting t
JOIN spec_version s ON s.id = t.spec_version_id
JOIN drink d ON d.id = s.drink_id
JOIN book b ON b.id = d.book_id
ORDER BY t.tasted_at, t.id;
