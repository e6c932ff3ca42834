-- Why: a row that another program moves from one owner to another concerns both, and what goes with a drink that was
-- weighed concerns the same drink on other lists. Both were left with the figures of before. The name of the row it was,
-- the list it left and the drink it was weighed for are marked as well.

CREATE TRIGGER stale_same_drink_delete BEFORE DELETE ON drink
    WHEN EXISTS (SELECT 1 FROM weighing WHERE drink_id = OLD.id) BEGIN
    INSERT INTO stale (scope, what)
        SELECT DISTINCT 'drink', CAST(e.id AS TEXT) FROM drink e WHERE e.name_key = OLD.name_key AND e.id <> OLD.id
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(e.id AS TEXT));
END;

CREATE TRIGGER stale_same_spec_delete BEFORE DELETE ON spec_version
    WHEN EXISTS (SELECT 1 FROM weighing WHERE drink_id = OLD.drink_id) BEGIN
    INSERT INTO stale (scope, what)
        SELECT DISTINCT 'drink', CAST(e.id AS TEXT) FROM drink d JOIN drink e ON e.name_key = d.name_key
        WHERE d.id = OLD.drink_id
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(e.id AS TEXT));
END;

CREATE TRIGGER stale_same_version_update AFTER UPDATE OF version, drink_id ON spec_version
    WHEN (OLD.version, OLD.drink_id) IS NOT (NEW.version, NEW.drink_id) BEGIN
    INSERT INTO stale (scope, what)
        SELECT DISTINCT 'drink', CAST(e.id AS TEXT) FROM drink d JOIN drink e ON e.name_key = d.name_key
        WHERE d.id IN (OLD.drink_id, NEW.drink_id)
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(e.id AS TEXT));
END;

CREATE TRIGGER stale_same_book_update AFTER UPDATE OF book_id ON drink
    WHEN OLD.book_id IS NOT NEW.book_id BEGIN
    INSERT INTO stale (scope, what)
        SELECT DISTINCT 'drink', CAST(e.id AS TEXT) FROM drink e WHERE e.name_key = NEW.name_key
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(e.id AS TEXT));
END;

CREATE TRIGGER stale_weighing_moved AFTER UPDATE OF drink_id ON weighing
    WHEN OLD.drink_id IS NOT NEW.drink_id BEGIN
    INSERT INTO stale (scope, what) SELECT 'drink', CAST(OLD.drink_id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(OLD.drink_id AS TEXT));
END;

CREATE TRIGGER stale_value_moved AFTER UPDATE OF ingredient_id ON ingredient_value
    WHEN OLD.ingredient_id IS NOT NEW.ingredient_id BEGIN
    INSERT INTO stale (scope, what) SELECT 'all', '' WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'all' AND what = '');
END;

CREATE TRIGGER stale_preparation_moved AFTER UPDATE OF book_id ON preparation
    WHEN OLD.book_id IS NOT NEW.book_id BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', CAST(OLD.book_id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = CAST(OLD.book_id AS TEXT));
END;

CREATE TRIGGER stale_preparation_version_moved AFTER UPDATE OF preparation_id ON preparation_version
    WHEN OLD.preparation_id IS NOT NEW.preparation_id BEGIN
    INSERT INTO stale (scope, what)
        SELECT 'book', CAST(p.book_id AS TEXT) FROM preparation p WHERE p.id = OLD.preparation_id
          AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = CAST(p.book_id AS TEXT));
END;

CREATE TRIGGER stale_setting_renamed AFTER UPDATE OF name ON setting
    WHEN OLD.name IS NOT NEW.name BEGIN
    INSERT INTO stale (scope, what) SELECT 'all', '' WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'all' AND what = '');
END;
