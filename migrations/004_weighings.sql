-- Why: a house that weighs its drinks before and after ice knows its own melt: the weighing stands for the spec
-- it was made of, and enough of them make the house's own rates. Every fit is kept; the one in force is the last
-- that was not taken back.

CREATE TABLE weighing (
    id            INTEGER PRIMARY KEY,
    drink_id      INTEGER NOT NULL REFERENCES drink ON DELETE CASCADE,
    version       INTEGER NOT NULL CHECK (version >= 1),    -- of the spec that was weighed
    before_g      TEXT NOT NULL,                            -- liquid before ice, exact decimal
    after_g       TEXT NOT NULL,                            -- strained off its ice
    temperature_c REAL CHECK (temperature_c BETWEEN -40 AND 60),
    seconds       REAL CHECK (seconds > 0),                 -- worked for so long, where it was timed
    ice_g         REAL CHECK (ice_g > 0),
    weighed_at    TEXT,                                     -- as the caller tells it, ISO 8601
    note          TEXT NOT NULL
) STRICT;
CREATE INDEX weighing_by_drink ON weighing (drink_id);

CREATE TABLE house_melt (
    id        INTEGER PRIMARY KEY,
    technique TEXT NOT NULL CHECK (technique IN ('shake', 'stir')),
    version   INTEGER NOT NULL CHECK (version >= 1),
    fit_json  TEXT NOT NULL CHECK (json_valid(fit_json)),   -- parameters, covariance, residuals
    kept_at   TEXT,
    undone_at TEXT,                                         -- taken back since; '' where no time was given
    UNIQUE (technique, version)
) STRICT;

-- One row a weighing of a drink that is poured.
CREATE VIEW weighings AS
SELECT d.name AS drink, b.title AS book, w.version, w.before_g, w.after_g, w.temperature_c, w.seconds, w.ice_g, w.weighed_at, w.note
FROM weighing w
JOIN drink d ON d.id = w.drink_id
JOIN book b ON b.id = d.book_id
WHERE d.removed_at IS NULL
ORDER BY w.id;
