-- Why: what things cost, so that a drink can be costed from its lines. Every price that was ever given is
-- kept with who says so and since when; the latest one holds. Money, package sizes and yields are decimal or
-- fraction text, never floating point. A garnish or ice has its price by the words of the spec.

CREATE TABLE price (
    id             INTEGER PRIMARY KEY,
    name           TEXT NOT NULL,
    name_key       TEXT NOT NULL,
    book_id        INTEGER REFERENCES book ON DELETE CASCADE,  -- NULL: the house's own; else what a book says
    since          TEXT NOT NULL CHECK (since = '' OR since GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    offer          TEXT NOT NULL CHECK (offer IN ('bought', 'free', 'withdrawn')),
    package        TEXT,                       -- as written: `6 x 700 ml`
    packs          TEXT,                       -- 6
    each_amount    TEXT,                       -- 700, in sold_by
    sold_by        TEXT CHECK (sold_by IN ('ml', 'g', 'piece', 'leaf', 'sprig', 'slice', 'wheel', 'wedge', 'cube', 'handful', 'pinch')),
    price          TEXT,                       -- for the whole package, as paid
    currency       TEXT CHECK (currency GLOB '[A-Z][A-Z][A-Z]'),  -- ISO 4217; NULL: that of the book or house
    tax_pct        TEXT,                       -- NULL: nobody said
    tax_included   INTEGER CHECK (tax_included IN (0, 1)),
    deposit        TEXT,                       -- held by the price, comes back with the package
    yield_text     TEXT,                       -- as written: `30 ml per fruit, 20 to 35`
    yield_amount   TEXT,                       -- 30, in yield_unit, of every yield_per in sold_by
    yield_low      TEXT,
    yield_high     TEXT,
    yield_unit     TEXT,
    yield_per      TEXT,
    waste_pct      TEXT,                       -- spilt, over-poured, trimmed off
    waste_low_pct  TEXT,
    waste_high_pct TEXT,
    loss_pct       TEXT,                       -- kept back by an infusion or a strainer
    loss_low_pct   TEXT,
    loss_high_pct  TEXT,
    portion        TEXT,                       -- what a drink takes where its spec gives no amount, as written
    portion_amount TEXT,
    portion_unit   TEXT,
    source         TEXT NOT NULL CHECK (source <> ''),
    CHECK ((offer = 'bought') = (package IS NOT NULL AND packs IS NOT NULL AND each_amount IS NOT NULL AND sold_by IS NOT NULL AND price IS NOT NULL)),
    CHECK ((tax_pct IS NULL) = (tax_included IS NULL)),
    CHECK ((yield_text IS NULL) = (yield_amount IS NULL OR yield_low IS NULL OR yield_high IS NULL OR yield_unit IS NULL OR yield_per IS NULL)),
    CHECK ((portion IS NULL) = (portion_amount IS NULL OR portion_unit IS NULL))
) STRICT;
CREATE UNIQUE INDEX price_by_key ON price (name_key, ifnull(book_id, 0), since);

-- For readers: the price of everything that holds now.
CREATE VIEW price_list AS
SELECT p.name, p.offer, p.package, p.packs, p.each_amount, p.sold_by, p.price, p.currency, p.tax_pct, p.tax_included, p.deposit,
       p.yield_text, p.waste_pct, p.loss_pct, p.portion, p.source, p.since, b.title AS book
FROM price p
LEFT JOIN book b ON b.id = p.book_id
WHERE p.offer <> 'withdrawn'
  AND p.since = (SELECT max(since) FROM price q WHERE q.name_key = p.name_key AND q.book_id IS p.book_id);
