// SPDX-License-Identifier: Apache-2.0
#include "widgets/headless.h"

#include <doctest/doctest.h>

#include "support/typefaces.h"
#include "widgets/widgets.h"

using namespace nthtree::widgets;

namespace {

Fonts& fonts() {
  static Fonts& own = nthtree::test::new_typefaces();
  return own;
}

}  // namespace

TEST_SUITE("widgets") {
  TEST_CASE("a button gives back how often it was tapped, once") {
    HeadlessFrame frame(fonts(), {});
    int saved = 0;
    const auto screen = [&](Ui& ui) {
      open_screen(ui, {.key = "k", .title = "T"});
      saved += button(ui, {.id = "save", .label = "Save"});
      close_screen(ui);
    };
    frame.draw(screen);
    CHECK(frame.find(Role::button, "Save") != nullptr);
    CHECK(frame.tap("save"));
    CHECK(frame.tap("save"));
    frame.draw(screen);
    CHECK(saved == 2);
    frame.draw(screen);
    CHECK(saved == 2);
  }

  TEST_CASE("taps on the pad and on save keep their order over one stalled frame") {
    HeadlessFrame frame(fonts(), {});
    std::string log;
    const auto screen = [&](Ui& ui) {
      const Bar bar = open_screen(ui, {.key = "k", .title = "T", .back = true,
                                       .actions = {{.id = "save", .label = "Save"}}});
      if (const int taps = tap_pad(ui, {.id = "pad", .label = "Count", .value = "12"})) {
        log += "pad" + std::to_string(taps) + " ";
      }
      close_screen(ui);
      if (bar.action == "save") log += "save ";
      if (bar.back) log += "back ";
    };
    frame.draw(screen);
    for (int i = 0; i < 3; ++i) CHECK(frame.tap("pad"));
    CHECK(frame.tap("save"));
    CHECK(frame.tap("pad"));
    CHECK(frame.tap("back"));
    frame.draw(screen);
    CHECK(log == "pad3 save pad1 back ");
  }

  TEST_CASE("the pad takes the room that is left and the page does not scroll") {
    for (float height : {568.0f, 740.0f, 844.0f}) {
      HeadlessFrame frame(fonts(), {.width = 360, .height = height});
      frame.draw([](Ui& ui) {
        open_screen(ui, {.key = "k", .title = "T", .actions = {{.id = "s", .label = "Save"}}});
        paragraph(ui, "Row 4, tree 17");
        tap_pad(ui, {.id = "pad", .label = "Count", .value = "0", .leave = 80});
        button(ui, {.id = "undo", .label = "Undo"});
        close_screen(ui);
      });
      const Control* pad = frame.find("pad");
      const Control* undo = frame.find("undo");
      REQUIRE(undo != nullptr);
      CHECK(pad->rect.h >= 220);
      CHECK(undo->rect.bottom() <= frame.ui().view().bottom());
      CHECK(undo->rect.bottom() > frame.ui().view().bottom() - 40);
    }
  }

  TEST_CASE("five thousand rows lay out only those in view, and scrolling finds the others") {
    HeadlessFrame frame(fonts(), {});
    int drawn = 0;
    const auto screen = [&](Ui& ui) {
      open_screen(ui, {.key = "k", .title = "T"});
      drawn = 0;
      long_list(ui, {.id = "trees", .label = "Trees", .rows = 5000}, [&](int row) {
        ++drawn;
        choice_row(ui, {.id = "tree/" + std::to_string(row),
                        .label = "Tree " + std::to_string(row)});
      });
      close_screen(ui);
    };
    frame.draw(screen);
    CHECK(drawn < 25);
    CHECK(frame.find("tree/0") != nullptr);
    CHECK(frame.find("tree/2500") == nullptr);
    frame.ui().scroll_by(72.0f * 2500);
    frame.draw(screen);
    CHECK(drawn < 25);
    CHECK(frame.find("tree/2500") != nullptr);
  }

  TEST_CASE("a page says that it scrolled in the frame that moved it, and in no other") {
    HeadlessFrame frame(fonts(), {});
    std::string key = "list";
    const auto draw = [&] {
      Ui& ui = frame.ui();
      ui.begin_frame({.width = 360, .height = 740});
      open_screen(ui, {.key = key, .title = "T"});
      long_list(ui, {.id = "rows", .label = "Rows", .rows = 500, .row_height = 72}, [&](int row) {
        choice_row(ui, {.id = "row/" + std::to_string(row), .label = "Row"});
      });
      close_screen(ui);
      ui.end_frame();
      return ui.scrolled();
    };
    draw();
    CHECK_FALSE(draw());
    frame.ui().scroll_by(300);
    CHECK(draw());
    CHECK_FALSE(draw());
    key = "another";  // a page that opens stands at its top: it did not move there
    CHECK_FALSE(draw());
    key = "list";
    CHECK_FALSE(draw());
    frame.ui().scroll_by(0.2f);  // less than a pixel
    CHECK_FALSE(draw());
  }

  TEST_CASE("long words wrap, and what cannot fit is reported") {
    HeadlessFrame frame(fonts(), {.width = 320});
    frame.draw([](Ui& ui) {
      open_screen(ui, {.key = "k", .title = "A title far too long for the place beside the chips",
                       .back = true, .person = "Maximiliana", .status = "12 not sent"});
      paragraph(ui, "One two three four five six seven eight nine ten eleven twelve thirteen");
      button(ui, {.id = "b", .label = "Compare what was counted with what was planned for here"});
      close_screen(ui);
    });
    CHECK(frame.clipped_texts().empty());
    CHECK(frame.outside().empty());
    CHECK(frame.small_targets().empty());
    frame.draw([](Ui& ui) {
      open_screen(ui, {.key = "k", .title = "T"});
      ui.painter().text({0, 0, 40, 20}, "much too long", {.wrap = false});
      ui.painter().text({0, 0, 40, 200}, "Unbreakable", {});
      close_screen(ui);
    });
    CHECK(frame.clipped_texts().size() == 2);
  }

  TEST_CASE("left-handed people get the main action on the left, in the same reading order") {
    for (bool left : {false, true}) {
      HeadlessFrame frame(fonts(), {.look = {.left_handed = left}});
      frame.draw([](Ui& ui) {
        open_screen(ui, {.key = "k", .title = "T",
                         .actions = {{.id = "main", .label = "A"}, {.id = "other", .label = "B"}}});
        ui.hand_row({1, 1}, [&] { button(ui, {.id = "x", .label = "x"}); },
                    [&] { button(ui, {.id = "y", .label = "y"}); });
        close_screen(ui);
      });
      CHECK((frame.find("main")->rect.x < frame.find("other")->rect.x) == left);
      CHECK((frame.find("y")->rect.x < frame.find("x")->rect.x) == left);
      CHECK(frame.find("x") < frame.find("y"));
      CHECK(frame.find("y") < frame.find("main"));  // actions are read after the page
    }
  }

  TEST_CASE("a question covers everything, and answers") {
    HeadlessFrame frame(fonts(), {});
    int answer = 0, below = 0;
    const auto screen = [&](Ui& ui) {
      open_screen(ui, {.key = "k", .title = "T"});
      below += button(ui, {.id = "below", .label = "Below"});
      close_screen(ui);
      const int now = question(ui, {.id = "q", .title = "Drop this count?", .yes = "Drop it",
                                    .no = "Keep counting", .danger = true});
      if (now) answer = now;
    };
    frame.draw(screen);
    CHECK_FALSE(frame.tap("below"));
    frame.draw(screen);
    CHECK(below == 0);
    CHECK(frame.tap("q/no"));
    frame.draw(screen);
    CHECK(answer == -1);
  }

  TEST_CASE("a letter the texture lacks is fetched from the font file") {
    HeadlessFrame frame(fonts(), {});
    const auto before = fonts().version();
    const auto screen = [](Ui& ui) {
      open_screen(ui, {.key = "k", .title = "T"});
      paragraph(ui, "Łukasz Žďár");
      close_screen(ui);
    };
    frame.draw(screen);
    CHECK(fonts().version() > before);
    CHECK_FALSE(fonts().wants_rebuild());
    const auto after = fonts().version();
    frame.draw(screen);
    CHECK(fonts().version() == after);
  }

  TEST_CASE("words of a live verdict are announced when they change, and once") {
    HeadlessFrame frame(fonts(), {});
    std::string figure = "12";
    const auto screen = [&](Ui& ui) {
      open_screen(ui, {.key = "k", .title = "T"});
      verdict_card(ui, {.id = "v", .kind = VerdictSign::harder, .word = "Harder", .figure = figure,
                        .unit = "spurs a tree"});
      close_screen(ui);
    };
    frame.draw(screen);
    auto said = frame.ui().take_announcements();
    REQUIRE(said.size() == 1);
    CHECK(said[0].text == "Harder: 12 spurs a tree");
    frame.draw(screen);
    CHECK(frame.ui().take_announcements().empty());
    figure = "9";
    frame.draw(screen);
    CHECK(frame.ui().take_announcements().size() == 1);
  }

  TEST_CASE("typed text reaches its field, and dragging never presses") {
    HeadlessFrame frame(fonts(), {});
    std::string name = "Ana";
    int pressed = 0;
    const auto screen = [&](Ui& ui) {
      open_screen(ui, {.key = "k", .title = "T"});
      if (auto text = text_field(ui, {.id = "name", .label = "Name", .value = name})) name = *text;
      for (int i = 0; i < 20; ++i) {
        pressed += button(ui, {.id = "b" + std::to_string(i), .label = "B"});
      }
      close_screen(ui);
    };
    frame.draw(screen);
    frame.type("name", "Berta");
    frame.draw(screen);
    CHECK(name == "Berta");
    const Rect before = frame.find("b5")->rect;
    TapCounter& fingers = frame.ui().tap_counter();
    fingers.down(1, 180, 500, 0);
    fingers.move(1, 180, 440, 20);
    fingers.move(1, 180, 400, 40);
    fingers.up(1, 180, 400, 300);
    frame.draw(screen);
    CHECK(pressed == 0);
    CHECK(frame.find("b5")->rect.y == doctest::Approx(before.y - 100).epsilon(0.01));
  }
}

TEST_SUITE("widgets") {
  TEST_CASE("neighbours in a row are equally tall, shrink again, and never cover one another") {
    HeadlessFrame frame(fonts(), {.width = 320});
    std::string label = "A label that needs three lines at least";
    const auto screen = [&](Ui& ui) {
      open_screen(ui, {.key = "k", .title = "T"});
      ui.row({1, 1}, [&] { button(ui, {.id = "a", .label = label}); },
             [&] { button(ui, {.id = "b", .label = "B"}); });
      ui.row({1, 1}, [&] { button(ui, {.id = "c", .label = "C"}); },
             [&] {
               button(ui, {.id = "d", .label = "D"});
               button(ui, {.id = "e", .label = "E"});
             });
      close_screen(ui);
    };
    frame.draw(screen);
    CHECK(frame.find("a")->rect.h > 60);
    CHECK(frame.find("a")->rect.h == frame.find("b")->rect.h);
    CHECK(frame.find("d")->rect.bottom() < frame.find("e")->rect.y);
    CHECK(frame.overlaps().empty());
    label = "A";
    frame.draw(screen);
    CHECK(frame.find("b")->rect.h == doctest::Approx(56));
  }

  TEST_CASE("the keyboard comes up over a field that is being typed into: it moves into view") {
    Ui ui(fonts());
    const auto frame = [&](float height) {
      for (int i = 0; i < 4; ++i) {
        ui.begin_frame({.width = 360, .height = height, .now_ms = 1000 + i * 20});
        open_screen(ui, {.key = "k", .title = "T", .actions = {{.id = "keep", .label = "Keep"}}});
        for (int n = 0; n < 12; ++n) {
          text_field(ui, {.id = "f" + std::to_string(n), .label = "Field"});
        }
        close_screen(ui);
        ui.end_frame();
      }
    };
    const auto place = [&] {
      for (const Control& control : ui.controls()) {
        if (control.id == "f5") return control.rect;
      }
      return Rect{};
    };
    frame(740);
    ui.focus("f5", true);
    frame(740);
    const Rect tall = place();
    CHECK(tall.bottom() > 420);  // or the keyboard would not cover it
    frame(420);
    CHECK(place().y > 56);
    CHECK(place().bottom() < 420 - 80);
    // Nobody types: the page stays where it is.
    frame(740);
    ui.focus("", false);
    const float before = place().y;
    frame(420);
    CHECK(place().y == doctest::Approx(before));
  }
}
