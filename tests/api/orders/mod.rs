//! Pooled orders: terms, lines, closing, steps, shares.

mod closing;
mod lines;
mod queue;
mod steps;
mod terms;

use chrono::{DateTime, Days, TimeDelta, Utc};
use diesel_async::SimpleAsyncConnection;
use serde_json::{Value, json};
use turfring::{database, jobs};

use crate::harness::{App, Club, Net, User, with_app};

/// A network that buys sand.
struct Market {
    net: Net,
    product: String,
    supplier: String,
}

impl Market {
    async fn of(app: &App, name: &str) -> Self {
        let net = app.network(name).await;
        let sand = json!({"name": "Sand", "kind": "sand", "sold_by": "tonne", "vat_basis_points": 2000, "note": ""});
        let product = product(&net, sand).await;
        let quarry = json!({"name": "The quarry", "email": null, "phone": null, "note": ""});
        let supplier = net.coordinator.post(&format!("{}/suppliers", net.path), quarry).await.expect(201);
        let supplier = supplier["supplier_id"].as_str().unwrap().to_owned();
        Self { net, product, supplier }
    }

    /// Sand at £31.55 a tonne, £27.05 from 20 t, £24.05 from 28 t, closing in three days.
    fn terms(&self) -> Value {
        json!({
            "title": "Autumn sand", "product_id": self.product, "supplier_id": self.supplier, "pack_kg": 1000,
            "vat_basis_points": 2000, "smallest_kg": 5000, "price_breaks": [
                {"from_kg": 0, "price_pence": 3155}, {"from_kg": 20_000, "price_pence": 2705},
                {"from_kg": 28_000, "price_pence": 2405},
            ],
            "closes_at": Utc::now() + TimeDelta::days(3), "delivery_from_on": day(10), "delivery_until_on": day(14),
            "note": "Tipped on hard standing.",
        })
    }

    fn path(&self) -> String {
        format!("{}/pooled-orders", self.net.path)
    }

    /// Opens an order on the usual terms, some of them changed.
    async fn open(&self, changes: Value) -> Value {
        self.net.coordinator.post(&self.path(), with(self.terms(), changes)).await.expect(201)
    }

    fn at(&self, order: &Value) -> String {
        format!("{}/{}", self.path(), text(order, "order_id"))
    }

    fn line(&self, order: &Value, club: &Club) -> String {
        format!("{}/lines/{}", self.at(order), club.id)
    }

    /// Puts a club's line into an order.
    async fn join(&self, order: &Value, club: &Club, quantity_kg: i64) -> Value {
        club.lead.put_plain(&self.line(order, club), json!({"quantity_kg": quantity_kg})).await.expect(200)
    }

    /// The order as the coordinator sees it.
    async fn show(&self, order: &Value) -> Value {
        self.net.coordinator.get(&self.at(order)).await.expect(200)
    }

    /// The letters to an address so far, oldest first: subject and text.
    async fn letters(&self, to: &User) -> Vec<(String, String)> {
        let mails = self.net.coordinator.get(&format!("{}/mails?limit=200", self.net.path)).await.expect(200);
        let mails = mails["items"].as_array().unwrap().iter().rev().filter(|mail| mail["to"] == to.email.as_str());
        mails.map(|mail| (text(mail, "subject").to_owned(), text(mail, "text").to_owned())).collect()
    }
}

async fn product(net: &Net, facts: Value) -> String {
    let made = net.coordinator.post(&format!("{}/products", net.path), facts).await.expect(201);
    text(&made, "product_id").to_owned()
}

fn text<'a>(body: &'a Value, field: &str) -> &'a str {
    body[field].as_str().unwrap()
}

fn day(days: u64) -> String {
    (Utc::now().date_naive() + Days::new(days)).to_string()
}

fn with(mut body: Value, changes: Value) -> Value {
    for (field, value) in changes.as_object().unwrap() {
        body[field] = value.clone();
    }
    body
}

fn closes_at(order: &Value) -> DateTime<Utc> {
    text(order, "closes_at").parse().unwrap()
}

/// Runs the queue as at the order's closing time.
async fn run_closing(app: &App, order: &Value) -> usize {
    jobs::run_due(&app.service, closes_at(order)).await.unwrap()
}

/// Runs SQL as the owner of the tables.
async fn db_execute(app: &App, sql: &str) {
    database::connect_as_owner(&app.owner_url).await.unwrap().batch_execute(sql).await.unwrap();
}

fn sum_of(order: &Value, part: &str, what: &str) -> i64 {
    order["lines"].as_array().unwrap().iter().map(|line| line[part][what].as_i64().unwrap()).sum()
}

/// A letter with what changes from day to day taken out.
macro_rules! assert_letter {
    ($letter:expr, @$text:literal) => {
        let filters = [
            (r"[0-9a-f]{8}-[0-9a-f-]{27}", "[id]"),
            (r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d{1,2} [A-Z][a-z]{2}", "[day]"),
            (r"\d\d:\d\d", "[time]"),
        ];
        let (subject, text) = $letter;
        let letter = format!("{subject}\n\n{text}");
        insta::with_settings!({filters => filters}, { insta::assert_snapshot!(letter, @$text) });
    };
}
use assert_letter;

#[test]
fn an_order_goes_from_opening_over_a_reached_break_and_its_closing_to_settling() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (ash, birch, cedar) = (
            app.club(&market.net, "Ash").await,
            app.club(&market.net, "Birch").await,
            app.club(&market.net, "Cedar").await,
        );
        let order = market.open(json!({})).await;
        assert_eq!((text(&order, "state"), order["total_kg"].as_i64()), ("gathering", Some(0)));

        market.join(&order, &ash, 8_000).await;
        let short = market.join(&order, &birch, 9_000).await;
        assert_eq!(
            (short["price_pence"].as_i64(), short["next_break"]["missing_kg"].as_i64()),
            (Some(3155), Some(3_000))
        );
        let full = market.join(&order, &cedar, 11_000).await;
        assert_eq!((full["price_pence"].as_i64(), full["next_break"].is_null()), (Some(2405), true));

        run_closing(&app, &order).await;
        let closed = market.show(&order).await;
        // 28 t at £24.05, and 20 % of £673.40 to the penny.
        assert_eq!((text(&closed, "state"), closed["price_pence"].as_i64()), ("closed", Some(2405)));
        assert_eq!((closed["goods_pence"].as_i64(), closed["vat_pence"].as_i64()), (Some(67_340), Some(13_468)));
        assert_eq!((sum_of(&closed, "share", "goods_pence"), sum_of(&closed, "share", "vat_pence")), (67_340, 13_468));
        insta::assert_json_snapshot!(closed["lines"][0], {".club_id" => "[id]"}, @r#"
        {
          "club_id": "[id]",
          "club_name": "Ash",
          "quantity_kg": 8000,
          "version": 1,
          "yours": false,
          "share": {
            "goods_pence": 19240,
            "vat_pence": 3848,
            "total_pence": 23088
          },
          "alone": {
            "goods_pence": 25240,
            "vat_pence": 5048,
            "total_pence": 30288
          }
        }
        "#);

        assert_letter!(market.letters(&ash.treasurer).await.remove(0), @r#"
        Autumn sand has closed: Ash owes £230.88

        Hello treasurer,

        Autumn sand has closed: 28 t for 3 clubs at £24.05 for each tonne, without VAT.

        Ash, 8 t:
        Goods                  £192.40
        VAT, 20 %               £38.48
        To pay                 £230.88
        Alone it would be      £302.88
        Saved together          £72.00

        Delivery from The quarry: [day] to [day].
        Bulk bags and tipping lorries can crush: keep people well clear, tip on firm level ground, and follow the supplier's and local rules first.

        The order: http://turfring.test/orders/[id]
        "#);
        assert_eq!(market.letters(&ash.lead).await.len(), 1);
        assert_eq!(market.letters(&ash.volunteer).await, []);

        for (step, state) in [("place", "placed"), ("deliver", "delivered"), ("settle", "settled")] {
            let moved =
                market.net.coordinator.post(&format!("{}/steps", market.at(&order)), json!({"step": step})).await;
            assert_eq!(moved.expect(200)["state"], state);
        }
        app.run_jobs().await;
        let subjects: Vec<_> = market.letters(&ash.treasurer).await.into_iter().map(|(subject, _)| subject).collect();
        assert_eq!(
            subjects[1..],
            ["Autumn sand is placed with The quarry", "Autumn sand is delivered", "Autumn sand is settled"]
        );
        let owed = ash.treasurer.get(&format!("{}/shares", market.net.path)).await.expect(200);
        insta::assert_json_snapshot!(owed, {".items[].order_id" => "[id]", ".items[].club_id" => "[id]",
            ".items[].entered_at" => "[time]"}, @r#"
        {
          "items": [
            {
              "order_id": "[id]",
              "title": "Autumn sand",
              "club_id": "[id]",
              "goods_pence": 19240,
              "vat_pence": 3848,
              "total_pence": 23088,
              "entered_at": "[time]",
              "order_state": "settled"
            }
          ],
          "next_cursor": null
        }
        "#);
    });
}

#[test]
fn an_open_order_tells_everything_a_page_needs() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (ash, birch) = (app.club(&market.net, "Ash").await, app.club(&market.net, "Birch").await);
        let order = market.open(json!({})).await;
        market.join(&order, &birch, 12_000).await;
        market.join(&order, &ash, 6_000).await;
        let seen = ash.lead.get(&market.at(&order)).await;
        assert_eq!(seen.etag.as_deref(), Some("\"v1\""));
        insta::assert_json_snapshot!(seen.expect(200), {
            ".order_id" => "[id]", ".product.product_id" => "[id]", ".supplier.supplier_id" => "[id]", ".lines[].club_id" => "[id]",
            ".closes_at" => "[time]", ".delivery_from_on" => "[day]", ".delivery_until_on" => "[day]",
        }, @r#"
        {
          "order_id": "[id]",
          "title": "Autumn sand",
          "product": {
            "product_id": "[id]",
            "name": "Sand",
            "kind": "sand",
            "sold_by": "tonne"
          },
          "supplier": {
            "supplier_id": "[id]",
            "name": "The quarry"
          },
          "unit_kg": 1000,
          "pack_kg": 1000,
          "vat_basis_points": 2000,
          "smallest_kg": 5000,
          "price_breaks": [
            {
              "from_kg": 0,
              "price_pence": 3155
            },
            {
              "from_kg": 20000,
              "price_pence": 2705
            },
            {
              "from_kg": 28000,
              "price_pence": 2405
            }
          ],
          "closes_at": "[time]",
          "delivery_from_on": "[day]",
          "delivery_until_on": "[day]",
          "note": "Tipped on hard standing.",
          "state": "gathering",
          "called_off_reason": null,
          "total_kg": 18000,
          "club_count": 2,
          "price_pence": 3155,
          "next_break": {
            "from_kg": 20000,
            "missing_kg": 2000,
            "price_pence": 2705,
            "saving_all_pence": 8100,
            "saving_yours_pence": 2700
          },
          "goods_pence": 56790,
          "vat_pence": 11358,
          "lines": [
            {
              "club_id": "[id]",
              "club_name": "Ash",
              "quantity_kg": 6000,
              "version": 1,
              "yours": true,
              "share": {
                "goods_pence": 18930,
                "vat_pence": 3786,
                "total_pence": 22716
              },
              "alone": {
                "goods_pence": 18930,
                "vat_pence": 3786,
                "total_pence": 22716
              }
            },
            {
              "club_id": "[id]",
              "club_name": "Birch",
              "quantity_kg": 12000,
              "version": 1,
              "yours": false,
              "share": null,
              "alone": null
            }
          ],
          "split_rule": "Every club pays the price of the total for its own quantity. VAT is reckoned on the whole invoice, rounded down to the penny, and split by quantity: each club first bears the whole pence of its exact part, and the pence left over go one each to the largest remainders (Hare quota); of equal remainders the club that joined the network first, whose id sorts first, bears the penny. The price alone is the club's own quantity at the price it would have by itself, with VAT rounded up.",
          "version": 1
        }
        "#);
    });
}
