-- Why: to know what is fresh nothing should have to be read and worked out again. Whoever changes something that
-- results depend on, this program or another one, leaves a row here in the same transaction; bringing the results up
-- to date takes the rows away. No row and the mark of this program's own model and tables: everything is fresh.

-- What is not worked out yet: everything, a book (id), a drink (id), the drinks of a structure (name), or what may
-- pour an ingredient of the house (folded name, or aliases with `;` between them).
CREATE TABLE stale (
    scope TEXT NOT NULL CHECK (scope IN ('all', 'book', 'drink', 'structure', 'ingredient')),
    what  TEXT NOT NULL,
    PRIMARY KEY (scope, what)
) STRICT, WITHOUT ROWID;
INSERT INTO stale (scope, what) VALUES ('all', '');

-- By which model, library and tables of a program the results were worked out; at most one row.
CREATE TABLE worked_by (
    only INTEGER PRIMARY KEY CHECK (only = 1),
    mark TEXT NOT NULL
) STRICT;

-- What results depend on, and whom a change of it concerns.
CREATE TRIGGER stale_setting_insert AFTER INSERT ON setting BEGIN
    INSERT INTO stale (scope, what) SELECT 'all', '' WHERE NEW.name <> 'library'
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'all' AND what = '');
END;

CREATE TRIGGER stale_setting_update AFTER UPDATE ON setting BEGIN
    INSERT INTO stale (scope, what) SELECT 'all', '' WHERE NEW.name <> 'library'
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'all' AND what = '');
END;

CREATE TRIGGER stale_setting_delete AFTER DELETE ON setting BEGIN
    INSERT INTO stale (scope, what) SELECT 'all', '' WHERE OLD.name <> 'library'
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'all' AND what = '');
END;

CREATE TRIGGER stale_house_melt_insert AFTER INSERT ON house_melt BEGIN
    INSERT INTO stale (scope, what) SELECT 'all', '' WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'all' AND what = '');
END;

CREATE TRIGGER stale_house_melt_update AFTER UPDATE ON house_melt BEGIN
    INSERT INTO stale (scope, what) SELECT 'all', '' WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'all' AND what = '');
END;

CREATE TRIGGER stale_house_melt_delete AFTER DELETE ON house_melt BEGIN
    INSERT INTO stale (scope, what) SELECT 'all', '' WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'all' AND what = '');
END;

CREATE TRIGGER stale_house_range_insert AFTER INSERT ON house_range BEGIN
    INSERT INTO stale (scope, what) SELECT 'structure', NEW.structure WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'structure' AND what = NEW.structure);
END;

CREATE TRIGGER stale_house_range_update AFTER UPDATE ON house_range BEGIN
    INSERT INTO stale (scope, what) SELECT 'structure', NEW.structure WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'structure' AND what = NEW.structure);
END;

CREATE TRIGGER stale_house_range_delete AFTER DELETE ON house_range BEGIN
    INSERT INTO stale (scope, what) SELECT 'structure', OLD.structure WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'structure' AND what = OLD.structure);
END;

CREATE TRIGGER stale_house_range_renamed AFTER UPDATE OF structure ON house_range BEGIN
    INSERT INTO stale (scope, what) SELECT 'structure', OLD.structure WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'structure' AND what = OLD.structure);
END;

CREATE TRIGGER stale_spec_version_insert AFTER INSERT ON spec_version BEGIN
    INSERT INTO stale (scope, what) SELECT 'drink', CAST(NEW.drink_id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(NEW.drink_id AS TEXT));
END;

CREATE TRIGGER stale_weighing_insert AFTER INSERT ON weighing BEGIN
    INSERT INTO stale (scope, what) SELECT 'drink', CAST(NEW.drink_id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(NEW.drink_id AS TEXT));
END;

CREATE TRIGGER stale_spec_version_update AFTER UPDATE ON spec_version BEGIN
    INSERT INTO stale (scope, what) SELECT 'drink', CAST(NEW.drink_id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(NEW.drink_id AS TEXT));
END;

CREATE TRIGGER stale_weighing_update AFTER UPDATE ON weighing BEGIN
    INSERT INTO stale (scope, what) SELECT 'drink', CAST(NEW.drink_id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(NEW.drink_id AS TEXT));
END;

CREATE TRIGGER stale_spec_version_delete AFTER DELETE ON spec_version BEGIN
    INSERT INTO stale (scope, what) SELECT 'drink', CAST(OLD.drink_id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(OLD.drink_id AS TEXT));
END;

CREATE TRIGGER stale_weighing_delete AFTER DELETE ON weighing BEGIN
    INSERT INTO stale (scope, what) SELECT 'drink', CAST(OLD.drink_id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(OLD.drink_id AS TEXT));
END;

CREATE TRIGGER stale_drink_update AFTER UPDATE OF removed_at, book_id ON drink BEGIN
    INSERT INTO stale (scope, what) SELECT 'drink', CAST(NEW.id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'drink' AND what = CAST(NEW.id AS TEXT));
END;

CREATE TRIGGER stale_book_update AFTER UPDATE OF settings_json ON book BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', CAST(NEW.id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = CAST(NEW.id AS TEXT));
END;

CREATE TRIGGER stale_preparation_version_insert AFTER INSERT ON preparation_version BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', (SELECT CAST(book_id AS TEXT) FROM preparation WHERE id = NEW.preparation_id) WHERE (SELECT CAST(book_id AS TEXT) FROM preparation WHERE id = NEW.preparation_id) IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = (SELECT CAST(book_id AS TEXT) FROM preparation WHERE id = NEW.preparation_id));
END;

CREATE TRIGGER stale_preparation_version_update AFTER UPDATE ON preparation_version BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', (SELECT CAST(book_id AS TEXT) FROM preparation WHERE id = NEW.preparation_id) WHERE (SELECT CAST(book_id AS TEXT) FROM preparation WHERE id = NEW.preparation_id) IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = (SELECT CAST(book_id AS TEXT) FROM preparation WHERE id = NEW.preparation_id));
END;

CREATE TRIGGER stale_preparation_version_delete AFTER DELETE ON preparation_version BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', (SELECT CAST(book_id AS TEXT) FROM preparation WHERE id = OLD.preparation_id) WHERE (SELECT CAST(book_id AS TEXT) FROM preparation WHERE id = OLD.preparation_id) IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = (SELECT CAST(book_id AS TEXT) FROM preparation WHERE id = OLD.preparation_id));
END;

CREATE TRIGGER stale_preparation_update AFTER UPDATE OF removed_at, name, name_key, book_id ON preparation BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', CAST(NEW.book_id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = CAST(NEW.book_id AS TEXT));
END;

CREATE TRIGGER stale_preparation_delete AFTER DELETE ON preparation BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', CAST(OLD.book_id AS TEXT) WHERE 1
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = CAST(OLD.book_id AS TEXT));
END;

CREATE TRIGGER stale_book_ingredient_insert AFTER INSERT ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', CAST(NEW.book_id AS TEXT) WHERE NEW.book_id IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = CAST(NEW.book_id AS TEXT));
END;

CREATE TRIGGER stale_house_ingredient_insert AFTER INSERT ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', NEW.name_key WHERE NEW.origin = 'house'
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = NEW.name_key);
END;

CREATE TRIGGER stale_house_alias_insert AFTER INSERT ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', NEW.aliases WHERE NEW.origin = 'house' AND NEW.aliases <> ''
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = NEW.aliases);
END;

CREATE TRIGGER stale_book_ingredient_update AFTER UPDATE ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', CAST(NEW.book_id AS TEXT) WHERE NEW.book_id IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = CAST(NEW.book_id AS TEXT));
END;

CREATE TRIGGER stale_house_ingredient_update AFTER UPDATE ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', NEW.name_key WHERE NEW.origin = 'house'
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = NEW.name_key);
END;

CREATE TRIGGER stale_house_alias_update AFTER UPDATE ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', NEW.aliases WHERE NEW.origin = 'house' AND NEW.aliases <> ''
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = NEW.aliases);
END;

CREATE TRIGGER stale_book_ingredient_update_was AFTER UPDATE ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', CAST(OLD.book_id AS TEXT) WHERE OLD.book_id IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = CAST(OLD.book_id AS TEXT));
END;

CREATE TRIGGER stale_house_ingredient_update_was AFTER UPDATE ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', OLD.name_key WHERE OLD.origin = 'house'
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = OLD.name_key);
END;

CREATE TRIGGER stale_house_alias_update_was AFTER UPDATE ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', OLD.aliases WHERE OLD.origin = 'house' AND OLD.aliases <> ''
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = OLD.aliases);
END;

CREATE TRIGGER stale_book_ingredient_delete AFTER DELETE ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', CAST(OLD.book_id AS TEXT) WHERE OLD.book_id IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = CAST(OLD.book_id AS TEXT));
END;

CREATE TRIGGER stale_house_ingredient_delete AFTER DELETE ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', OLD.name_key WHERE OLD.origin = 'house'
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = OLD.name_key);
END;

CREATE TRIGGER stale_house_alias_delete AFTER DELETE ON ingredient BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', OLD.aliases WHERE OLD.origin = 'house' AND OLD.aliases <> ''
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = OLD.aliases);
END;

CREATE TRIGGER stale_book_value_insert AFTER INSERT ON ingredient_value BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', (SELECT CAST(book_id AS TEXT) FROM ingredient WHERE id = NEW.ingredient_id) WHERE (SELECT CAST(book_id AS TEXT) FROM ingredient WHERE id = NEW.ingredient_id) IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = (SELECT CAST(book_id AS TEXT) FROM ingredient WHERE id = NEW.ingredient_id));
END;

CREATE TRIGGER stale_house_value_insert AFTER INSERT ON ingredient_value BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', (SELECT name_key FROM ingredient WHERE id = NEW.ingredient_id AND origin = 'house') WHERE (SELECT name_key FROM ingredient WHERE id = NEW.ingredient_id AND origin = 'house') IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = (SELECT name_key FROM ingredient WHERE id = NEW.ingredient_id AND origin = 'house'));
END;

CREATE TRIGGER stale_book_value_update AFTER UPDATE ON ingredient_value BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', (SELECT CAST(book_id AS TEXT) FROM ingredient WHERE id = NEW.ingredient_id) WHERE (SELECT CAST(book_id AS TEXT) FROM ingredient WHERE id = NEW.ingredient_id) IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = (SELECT CAST(book_id AS TEXT) FROM ingredient WHERE id = NEW.ingredient_id));
END;

CREATE TRIGGER stale_house_value_update AFTER UPDATE ON ingredient_value BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', (SELECT name_key FROM ingredient WHERE id = NEW.ingredient_id AND origin = 'house') WHERE (SELECT name_key FROM ingredient WHERE id = NEW.ingredient_id AND origin = 'house') IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = (SELECT name_key FROM ingredient WHERE id = NEW.ingredient_id AND origin = 'house'));
END;

CREATE TRIGGER stale_book_value_delete AFTER DELETE ON ingredient_value BEGIN
    INSERT INTO stale (scope, what) SELECT 'book', (SELECT CAST(book_id AS TEXT) FROM ingredient WHERE id = OLD.ingredient_id) WHERE (SELECT CAST(book_id AS TEXT) FROM ingredient WHERE id = OLD.ingredient_id) IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'book' AND what = (SELECT CAST(book_id AS TEXT) FROM ingredient WHERE id = OLD.ingredient_id));
END;

CREATE TRIGGER stale_house_value_delete AFTER DELETE ON ingredient_value BEGIN
    INSERT INTO stale (scope, what) SELECT 'ingredient', (SELECT name_key FROM ingredient WHERE id = OLD.ingredient_id AND origin = 'house') WHERE (SELECT name_key FROM ingredient WHERE id = OLD.ingredient_id AND origin = 'house') IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM stale WHERE scope = 'ingredient' AND what = (SELECT name_key FROM ingredient WHERE id = OLD.ingredient_id AND origin = 'house'));
END;
