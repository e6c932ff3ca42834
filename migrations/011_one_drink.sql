-- Why: a drink that stands on two lists is one drink. Each list goes on keeping it in rows of its own, with its place and
-- its versions, so that a list can go, come back and change without the other; that two of them are one is told from what
-- they are and kept nowhere: the same name, the same text, and the same of all that a result depends on (its fingerprint).
-- So what stops being the same is two drinks at once, and what is the same again is one.

-- A drink of a list beside the same drink of another list.
CREATE VIEW same_drink AS
SELECT a.id AS drink_id, a.book_id, s.id AS spec_version_id, b.id AS other_id, b.book_id AS other_book_id, t.id AS other_spec_version_id
FROM drink a
JOIN drink b ON b.name_key = a.name_key AND b.book_id <> a.book_id
JOIN spec_version s ON s.drink_id = a.id AND s.version = (SELECT max(version) FROM spec_version v WHERE v.drink_id = a.id)
JOIN spec_version t ON t.drink_id = b.id AND t.version = (SELECT max(version) FROM spec_version v WHERE v.drink_id = b.id)
JOIN result r ON r.spec_version_id = s.id
JOIN result q ON q.spec_version_id = t.id AND q.fingerprint = r.fingerprint
WHERE a.removed_at IS NULL AND b.removed_at IS NULL
  -- What a list pays for something itself makes its drinks cost otherwise.
  AND NOT EXISTS (
      SELECT name_key, since, offer, package, packs, each_amount, sold_by, price, currency, tax_pct, tax_included, deposit, yield_text,
             waste_pct, waste_low_pct, waste_high_pct, loss_pct, loss_low_pct, loss_high_pct, portion FROM price WHERE book_id = a.book_id
      EXCEPT
      SELECT name_key, since, offer, package, packs, each_amount, sold_by, price, currency, tax_pct, tax_included, deposit, yield_text,
             waste_pct, waste_low_pct, waste_high_pct, loss_pct, loss_low_pct, loss_high_pct, portion FROM price WHERE book_id = b.book_id)
  AND NOT EXISTS (
      SELECT name_key, since, offer, package, packs, each_amount, sold_by, price, currency, tax_pct, tax_included, deposit, yield_text,
             waste_pct, waste_low_pct, waste_high_pct, loss_pct, loss_low_pct, loss_high_pct, portion FROM price WHERE book_id = b.book_id
      EXCEPT
      SELECT name_key, since, offer, package, packs, each_amount, sold_by, price, currency, tax_pct, tax_included, deposit, yield_text,
             waste_pct, waste_low_pct, waste_high_pct, loss_pct, loss_low_pct, loss_high_pct, portion FROM price WHERE book_id = a.book_id);

CREATE INDEX price_by_book ON price (book_id) WHERE book_id IS NOT NULL;

-- A version of a drink beside the same spec, itself among it: under the same name, of lists that set the same (their
-- seasons and tags aside).
CREATE VIEW same_spec AS
SELECT s.id AS spec_version_id, s.drink_id, t.id AS other_id, t.drink_id AS other_drink_id
FROM spec_version s
JOIN drink d ON d.id = s.drink_id
JOIN drink e ON e.name_key = d.name_key
JOIN spec_version t ON t.drink_id = e.id
JOIN book a ON a.id = d.book_id
JOIN book b ON b.id = e.book_id
WHERE s.id = t.id
   OR (d.book_id <> e.book_id
       AND s.spec_text = t.spec_text
       AND json_remove(a.settings_json, '$.season', '$.tags') = json_remove(b.settings_json, '$.season', '$.tags'));

-- What was said or weighed of a spec, for every version it is of: where it was kept, and of the same drink on another
-- list or in the place of one that was taken off its list.
CREATE VIEW same_trial AS
SELECT m.spec_version_id, m.drink_id, m.other_id, m.other_drink_id
FROM same_spec m
WHERE m.drink_id = m.other_drink_id
   OR EXISTS (SELECT 1 FROM drink d WHERE d.id = m.other_drink_id AND d.removed_at IS NOT NULL)
   OR EXISTS (SELECT 1 FROM same_drink n WHERE n.drink_id = m.drink_id AND n.other_id = m.other_drink_id);

-- Each drink once, with the lists it stands on.
CREATE VIEW drinks AS
SELECT c.drink, c.version,
       (SELECT group_concat(title, '; ') FROM (
            SELECT c.book AS title
            UNION ALL
            SELECT b.title FROM same_drink n JOIN book b ON b.id = n.other_book_id WHERE n.drink_id = c.drink_id)) AS lists,
       c.spec_text
FROM current_spec c
WHERE NOT EXISTS (SELECT 1 FROM same_drink n WHERE n.drink_id = c.drink_id AND n.other_book_id < c.book_id);

-- A weighing is of the spec, on whichever list: what it changes is stale on all of them.
CREATE TRIGGER stale_same_weighing_insert AFTER INSERT ON weighing BEGIN
    INSERT INTO stale (scope, what)
        SELECT DISTINCT 'drink', CAST(e.id AS TEXT) FROM drink d JOIN drink e ON e.name_key = d.name_key
        WHERE d.id = NEW.drink_id AND e.id <> d.id
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(e.id AS TEXT));
END;

CREATE TRIGGER stale_same_weighing_update AFTER UPDATE ON weighing BEGIN
    INSERT INTO stale (scope, what)
        SELECT DISTINCT 'drink', CAST(e.id AS TEXT) FROM drink d JOIN drink e ON e.name_key = d.name_key
        WHERE d.id IN (OLD.drink_id, NEW.drink_id) AND e.id <> d.id
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(e.id AS TEXT));
END;

CREATE TRIGGER stale_same_weighing_delete AFTER DELETE ON weighing BEGIN
    INSERT INTO stale (scope, what)
        SELECT DISTINCT 'drink', CAST(e.id AS TEXT) FROM drink d JOIN drink e ON e.name_key = d.name_key
        WHERE d.id = OLD.drink_id AND e.id <> d.id
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(e.id AS TEXT));
END;

CREATE TRIGGER stale_same_spec_update AFTER UPDATE OF spec_text ON spec_version
    WHEN EXISTS (SELECT 1 FROM weighing WHERE drink_id = NEW.drink_id) BEGIN
    INSERT INTO stale (scope, what)
        SELECT DISTINCT 'drink', CAST(e.id AS TEXT) FROM drink d JOIN drink e ON e.name_key = d.name_key
        WHERE d.id = NEW.drink_id AND e.id <> d.id
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(e.id AS TEXT));
END;

CREATE TRIGGER stale_same_name_update AFTER UPDATE OF name_key ON drink
    WHEN OLD.name_key IS NOT NEW.name_key BEGIN
    INSERT INTO stale (scope, what)
        SELECT DISTINCT 'drink', CAST(e.id AS TEXT) FROM drink e WHERE e.name_key IN (OLD.name_key, NEW.name_key)
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(e.id AS TEXT));
END;

CREATE TRIGGER stale_same_settings_update AFTER UPDATE OF settings_json ON book
    WHEN OLD.settings_json IS NOT NEW.settings_json BEGIN
    INSERT INTO stale (scope, what)
        SELECT DISTINCT 'drink', CAST(e.id AS TEXT) FROM weighing w JOIN drink d ON d.id = w.drink_id JOIN drink e ON e.name_key = d.name_key
        WHERE d.book_id = NEW.id AND e.id <> d.id
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(e.id AS TEXT));
END;

-- A fingerprint no longer has the seasons and the tags of a list in it: all of them are taken once more.
INSERT OR IGNORE INTO stale (scope, what) VALUES ('all', '');
