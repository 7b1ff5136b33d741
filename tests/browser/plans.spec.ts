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
    await page.pdf({ path: path.join(folder, "plans.pdf"), format: "A4" });
  }
});

/** What of the timetable is a button on the screen and a bare word on paper. */
const blocks = (page: Page) =>
  page.getByRole("button", { name: /: move it$/ }).count();
