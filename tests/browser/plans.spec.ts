import { mkdirSync } from "node:fs";
import path from "node:path";
import {
  atDesk,
  expect,
  expectAccessible,
  follow,
  keepPicture,
  type Page,
  people,
  settled,
  signIn,
  test,
} from "./fixtures";

/** Opens the plans of the round that waits to be planned. */
async function openPlans(page: Page): Promise<void> {
  await signIn(page, people.coordinator);
  await page.goto("/rounds");
  await settled(page);
  await follow(page, /Deep tines, first week of May/, /\/rounds\/./);
  await follow(page, "Plan the round", /\/plans$/);
}

/** Presses what has the round planned, and waits until every plan is there with its reasons. */
async function planned(page: Page, press: string): Promise<void> {
  await page.getByRole("button", { name: press }).click();
  for (const order of ["Wishes first", "In between", "Least road first"]) {
    await expect(
      page.getByRole("heading", {
        level: 2,
        name: new RegExp(`${order} (Ready|Chosen)`),
      }),
    ).toBeVisible({ timeout: 90_000 });
  }
  await expect(page.getByText("Reasons are being looked for")).toHaveCount(0, {
    timeout: 90_000,
  });
}

const moving = (page: Page) =>
  page.getByRole("region", { name: "Move a club" });

test("a coordinator plans the round, tries a club elsewhere, pins it, and chooses", async ({
  page,
}) => {
  test.setTimeout(240_000);
  await openPlans(page);
  await expect(
    page.getByText("The round has not been planned yet."),
  ).toBeVisible();
  await planned(page, "Plan the round");
  await expect(page.getByText("best possible").first()).toBeVisible();
  await expect(
    page.getByText(/One wish point is worth 5 km of road in this round/),
  ).toBeVisible();
  await expectAccessible(page);
  await keepPicture(page, "plans");
  await atDesk(page, () => keepPicture(page, "plans"));

  // From the lists, as without a pointer at all.
  await page.getByLabel("Club", { exact: true }).selectOption({ index: 1 });
  await page.getByLabel("When it begins").selectOption({ index: 1 });
  await page.getByRole("button", { name: "What would that cost?" }).click();
  await expect(
    moving(page).getByText(
      /It costs nothing|It can be there|It cannot be there/,
    ),
  ).toBeVisible({ timeout: 15_000 });
  await page.getByRole("button", { name: "Leave it as it is" }).click();

  // By two presses in the timetable.
  const block = page.getByRole("button", {
    name: /^Quagthorpe RFC, .*move it$/,
  });
  await block.press("Enter");
  await expect(block).toHaveAttribute("aria-pressed", "true");
  const there = page.getByRole("button", {
    name: /^here: Quagthorpe RFC from/,
  });
  await there.first().press("Enter");
  await expect(
    moving(page).getByRole("row", { name: /Weight served/ }),
  ).toBeVisible({ timeout: 15_000 });
  await expectAccessible(page);
  await keepPicture(page, "plans-tried");
  await atDesk(page, () => keepPicture(page, "plans-tried"));
  await page
    .getByRole("button", { name: "Pin it there and plan again" })
    .click();
  await expect(
    page.getByRole("heading", { name: "Pinned and forbidden" }),
  ).toBeVisible();
  await expect(
    page.getByText(/plans? (is|are) being made|In between:/).first(),
  ).toBeVisible();
  await expect(
    page.getByRole("heading", { level: 2, name: /In between Ready/ }),
  ).toBeVisible({ timeout: 90_000 });
  await page.getByRole("button", { name: "Take it away" }).click();
  await planned(page, "Plan it again");
  await page
    .getByRole("listitem")
    .filter({ hasText: "Least road first" })
    .getByRole("button", { name: "Choose it" })
    .click();
  await expect(page.getByText(/^Least road first, chosen/)).toBeVisible();
});

test("a club is dragged to another day, and the list is printed", async ({
  page,
}) => {
  test.setTimeout(240_000);
  await page.setViewportSize({ width: 1280, height: 900 });
  await openPlans(page);
  if (await page.getByText("The round has not been planned yet.").isVisible())
    await planned(page, "Plan the round");
  const block = page.getByRole("button", {
    name: /^Tansyford RFC, .*move it$/,
  });
  await block.scrollIntoViewIfNeeded();
  const from = await block.boundingBox();
  const row = page.getByRole("row", { name: /^Tansyford RFC/ });
  const cell = row.locator("td[data-half]").nth(2);
  const to = await cell.boundingBox();
  if (!from || !to) throw new Error("the timetable is not drawn");
  await page.mouse.move(from.x + 5, from.y + from.height / 2);
  await page.mouse.down();
  await page.mouse.move(to.x + 25, to.y + 10, { steps: 5 });
  await page.mouse.move(to.x + 5, to.y + to.height / 2, { steps: 5 });
  await expect(
    page.getByText(/^Tansyford RFC from Tue 4 May, morning/),
  ).toBeVisible();
  await keepPicture(page, "plans-dragged");
  await page.mouse.up();
  await expect(moving(page).getByRole("row", { name: /Road/ })).toBeVisible({
    timeout: 15_000,
  });
  await expect(
    moving(page).getByText("from Tue 4 May, morning:"),
  ).toBeVisible();
  await page.keyboard.press("Escape");
  await expect(moving(page).getByText("No club is taken up")).toBeVisible();

  await page.emulateMedia({ media: "print" });
  await expect(page.getByRole("button")).toHaveCount(await blocks(page));
  await expect(moving(page)).toBeHidden();
  const folder = process.env.SHOTS;
  if (folder) {
    mkdirSync(folder, { recursive: true });
    await page.setViewportSize({ width: 794, height: 1123 });
    await keepPicture(page, "plans-print");
    await page.pdf({ path: path.join(folder, "plans.pdf"), format: "A4" });
  }
});

/** What of the timetable is a button on the screen and a bare word on paper. */
const blocks = (page: Page) =>
  page.getByRole("button", { name: /: move it$/ }).count();

/** Opens a round in which every ground asks for many half-days of a fortnight, so that planning it lasts; closes it soon. */
async function openLongRound(page: Page): Promise<string> {
  return page.evaluate(async () => {
    const send = async (method: string, path: string, body?: unknown) => {
      const answer = await fetch(`/api/v1${path}`, {
        method,
        headers: {
          "Content-Type": "application/json",
          "Idempotency-Key": crypto.randomUUID(),
        },
        body: body === undefined ? null : JSON.stringify(body),
      });
      if (!answer.ok) throw new Error(`${path}: ${await answer.text()}`);
      return answer.json();
    };
    const list = async (path: string) => (await send("GET", path)).items;
    const network = (await send("GET", "/me")).networks[0].network_id;
    const at = `/networks/${network}`;
    const pitches = await list(`${at}/pitches?limit=100`);
    const machines = await list(`${at}/machines?limit=100`);
    const suppliers = await list(`${at}/suppliers?limit=100`);
    const machine = machines.find(
      (each: { name: string }) => each.name === "Hired deep-tine aerator",
    );
    const first = Date.UTC(2027, 8, 6);
    const half = (number: number) =>
      new Date(first + number * 43_200_000).toISOString().slice(0, 19);
    const round = await send("POST", `${at}/rounds`, {
      title: "A long one to plan",
      requests_close_at: new Date(Date.now() + 10_000).toISOString(),
      hm_per_point: 50,
      guarantee_after: 2,
      note: "",
      grain: "half_days",
      hire: {
        machine_id: machine.machine_id,
        supplier_id: suppliers[0].supplier_id,
        span: { from: half(0), until: half(28) },
        per_week_pence: 100_000,
        per_day_pence: null,
        per_half_day_pence: null,
        per_ha_pence: null,
        delivery_pence: 0,
        collection_pence: 0,
        deposit_pence: 0,
        fuel_pence_per_hour: 100,
        haul_pence_per_km: 50,
        hauled_by: "clubs",
        depot_latitude_deg: 53.2305,
        depot_longitude_deg: -0.9412,
        note: "",
      },
    });
    const path = `${at}/rounds/${round.round_id}`;
    type Pitch = { pitch_id: string; ground_id: string; club_id: string };
    const grounds = new Map<string, Pitch>(
      pitches.map((pitch: Pitch) => [pitch.ground_id, pitch]),
    );
    // Any mixture that is the same every time will do: each ground allows two half-days of three, and wishes early.
    for (const [number, pitch] of [...grounds.values()].entries()) {
      const halves = Array.from({ length: 28 }, (_none, each) => each).filter(
        (each) => (each * 7 + number * 5) % 3 !== 0,
      );
      const days = [...new Set(halves.map((each) => half(each).slice(0, 10)))];
      await send("POST", `${path}/requests`, {
        club_id: pitch.club_id,
        ground_id: pitch.ground_id,
        pitch_ids: [pitch.pitch_id],
        need: 2 + (number % 4),
        depth_mm: 200,
        set_up_min: 30,
        tractor: "own",
        tractor_kw: 60,
        helper_club_id: null,
        note: "",
        half_days: halves.map(half),
        wishes: [0, 1, 2, 3].map((rank) => days[(number % 4) + rank]),
      });
    }
    for (;;) {
      if ((await send("GET", path)).state !== "gathering")
        return round.round_id as string;
      await new Promise((resolve) => setTimeout(resolve, 500));
    }
  });
}

test("a long plan says what is known so far, survives a reload, and ends when it is good enough", async ({
  page,
}) => {
  test.setTimeout(240_000);
  await signIn(page, people.coordinator);
  const round = await openLongRound(page);
  await page.goto(`/rounds/${round}/plans`);
  await settled(page);
  await page.getByRole("button", { name: "Plan the round" }).click();
  await expect(page.getByText("Known so far:").first()).toBeVisible({
    timeout: 60_000,
  });
  await expect(page.getByText(/weight served: \d+/).first()).toBeVisible();
  await expectAccessible(page);
  await keepPicture(page, "plans-long");
  await page.reload();
  await settled(page);
  await expect(page.getByText("Known so far:").first()).toBeVisible();
  // A lost signal is no fault: it goes on looking when there is one again.
  await page.context().setOffline(true);
  await page.waitForTimeout(2_000);
  await page.context().setOffline(false);
  // Nothing can be good enough before anything is found: the others offer to stop once their turn has come.
  const stop = page.getByRole("button", { name: "Good enough, stop" });
  const shows = page.getByRole("button", { name: "Show it" });
  for (const ready of [1, 2, 3]) {
    await expect(stop.first().or(shows.nth(ready - 1))).toBeVisible({
      timeout: 60_000,
    });
    // One that ends by itself meanwhile needs no stopping.
    await stop
      .first()
      .click({ timeout: 2_000 })
      .catch(() => undefined);
    await expect(shows.nth(ready - 1)).toBeVisible({ timeout: 90_000 });
  }
  await expect(page.getByText("0 clubs are served")).toHaveCount(0);
  await expect(page.getByText(/best possible/).first()).toBeVisible();
  await expect(page.getByText("Reasons are being looked for")).toHaveCount(0, {
    timeout: 120_000,
  });
  await keepPicture(page, "plans-long-ended");
  await atDesk(page, () => keepPicture(page, "plans-long-ended"));
});
