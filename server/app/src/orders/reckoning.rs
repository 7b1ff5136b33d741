//! What an order comes to and what each line owes: the stored numbers put before the pure crate.

use logistics::price_breaks::{PriceError, Share, share_order, stand_alone};

use super::store::{EnteredShare, WholeOrder};

/// An order reckoned at the total of its lines.
pub(super) struct Reckoning {
    pub(super) total_kg: i64,
    pub(super) price_pence: i64,
    pub(super) goods_pence: i64,
    pub(super) vat_pence: i64,
    /// One for each line, in the order of the lines.
    pub(super) parts: Vec<Part>,
}

/// What a line owes, and what it would have owed alone.
#[derive(Clone, Copy)]
pub(super) struct Part {
    pub(super) share: Share,
    pub(super) alone: Share,
}

impl Part {
    /// To pay, VAT included.
    pub(super) fn owed_pence(self) -> i64 {
        self.share.goods_pence + self.share.vat_pence
    }

    /// To pay alone, VAT included.
    pub(super) fn alone_pence(self) -> i64 {
        self.alone.goods_pence + self.alone.vat_pence
    }
}

impl From<&EnteredShare> for Part {
    fn from(entered: &EnteredShare) -> Self {
        Self {
            share: Share { goods_pence: entered.goods_pence, vat_pence: entered.vat_pence },
            alone: Share { goods_pence: entered.alone_goods_pence, vat_pence: entered.alone_vat_pence },
        }
    }
}

/// Reckons an order as if it closed with the lines it has. These stand in the order of club ids, which is the order
/// in which the odd pennies fall.
pub(super) fn reckon(whole: &WholeOrder) -> Result<Reckoning, PriceError> {
    let list = whole.price_list()?;
    let vat_basis_points = i64::from(whole.order.vat_basis_points);
    let lines_kg: Vec<i64> = whole.lines.iter().map(|line| line.quantity_kg).collect();
    let together = share_order(&list, vat_basis_points, &lines_kg)?;
    let parts = lines_kg
        .iter()
        .zip(together.shares)
        .map(|(own_kg, share)| Ok(Part { share, alone: stand_alone(&list, *own_kg, vat_basis_points)? }))
        .collect::<Result<_, PriceError>>()?;
    Ok(Reckoning {
        total_kg: lines_kg.iter().sum(),
        price_pence: together.price_pence,
        goods_pence: together.goods_pence,
        vat_pence: together.vat_pence,
        parts,
    })
}
