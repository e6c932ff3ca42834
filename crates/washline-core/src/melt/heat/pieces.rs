//! What ice in words is: how large its pieces are, and how heavy one of them.

use super::conditions::{ICE_G_PER_ML, Ice};
use crate::tables::IceForm;

/// Edge of a cube whose size nobody says, mm: an inch and a quarter, 30 g (COMPUTED from the edge; the size is common
/// practice, no source).
pub const CUBE_MM: f64 = 32.0;

/// One piece of ice, as a cube with as much surface for its volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Edge of that cube, mm.
    pub edge_mm: f64,
    /// Its mass, g.
    pub grams: f64,
}

impl Piece {
    /// A cube.
    #[must_use]
    pub fn cube(edge_mm: f64) -> Piece {
        Piece {
            edge_mm,
            grams: ICE_G_PER_ML * edge_mm.powi(3) / 1000.0,
        }
    }

    /// What the words for ice mean, where a cube of this bar is of `cube_mm`; `None` of ice of which they say no more.
    /// Sizes are common practice, no source, but for the sphere and the large cube, whose masses follow from the moulds
    /// that are sold (57 and 50 mm; COMPUTED 89 and 115 g).
    #[must_use]
    pub fn of(form: IceForm, cube_mm: f64) -> Option<Piece> {
        Some(match form {
            IceForm::Unsaid => return None,
            IceForm::Cubes => Piece::cube(cube_mm),
            IceForm::Crushed => Piece::cube(8.0),
            IceForm::Cracked => Piece::cube(15.0),
            IceForm::Pebble => Piece::cube(10.0),
            IceForm::Shaved => Piece::cube(3.0),
            IceForm::LargeCube => Piece::cube(50.0),
            IceForm::Block => Piece::cube(60.0),
            // 30 x 30 x 120 mm: 0.15 mm of surface a cubic one, as a cube of 40 mm
            IceForm::Spear => Piece {
                edge_mm: 40.0,
                grams: 99.0,
            },
            // six over the diameter, as of a cube of that edge
            IceForm::Sphere => Piece {
                edge_mm: 57.0,
                grams: 89.0,
            },
        })
    }
}

impl Ice {
    /// The same ice in other pieces: as wet as it was.
    #[must_use]
    pub fn in_pieces(self, piece: Piece) -> Ice {
        Ice {
            piece_mm: piece.edge_mm,
            ..self
        }
    }
}
