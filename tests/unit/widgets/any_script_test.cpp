// SPDX-License-Identifier: Apache-2.0
#include "widgets/any_script.h"

#include <doctest/doctest.h>
#include <imgui.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <tuple>
#include <vector>

#include "support/typefaces.h"
#include "widgets/headless.h"
#include "widgets/widgets.h"

namespace {

using namespace nthtree::widgets;

// Writes nothing and remembers what it was asked for; every letter's byte is half as wide as tall.
class Notes : public ScriptWriter {
 public:
  float script_width(const ScriptLine& line) override {
    ++measured;
    return static_cast<float>(line.text.size()) * line.px / 2;
  }
  void begin_script_picture(int side) override { sides.push_back(side); }
  void write_script(const ScriptLine& line, unsigned color, const ScriptPlace& box,
                    float) override {
    written.push_back({std::string(line.text), color, box});
  }
  void load_script_picture() override {}

  struct Written {
    std::string text;
    unsigned color = 0;
    ScriptPlace box;
  };
  int measured = 0;
  std::vector<int> sides;
  std::vector<Written> written;
};

bool meet(const ScriptPlace& a, const ScriptPlace& b) {
  return a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;
}

Fonts& typefaces() {
  static Fonts& own = nthtree::test::new_typefaces();
  return own;
}

}  // namespace

TEST_SUITE("widgets: any script") {
  TEST_CASE("lines stand side by side, each drawn once a colour, and the picture grows when full") {
    Notes notes;
    AnyScript scripts;
    scripts.set_writer(&notes);
    CHECK_FALSE(scripts.place({"Δ", 30}, 0, 40, 30).has_value());  // no picture yet
    CHECK(scripts.is_full());
    scripts.begin_frame();
    REQUIRE(scripts.side() == 512);
    std::vector<std::string> names;
    for (int i = 0; i < 40; ++i) names.push_back("Γιώργος " + std::to_string(i));
    const auto place_all = [&] {
      for (const std::string& name : names) scripts.place({name, 10}, 0x123456, 40, 30);
    };
    place_all();
    REQUIRE(notes.written.size() == 40);
    place_all();
    CHECK(notes.written.size() == 40);
    CHECK(notes.measured == 41);  // and the one that found no picture
    for (std::size_t i = 0; i < notes.written.size(); ++i) {
      const ScriptPlace& box = notes.written[i].box;
      CHECK(box.x + box.w <= scripts.side());
      CHECK(box.y + box.h <= scripts.side());
      for (std::size_t k = 0; k < i; ++k) CHECK_FALSE(meet(box, notes.written[k].box));
    }
    const auto version = scripts.version();
    CHECK(scripts.place({names[0], 10}, 0xFFFFFF, 40, 30).has_value());
    CHECK(scripts.version() == version + 1);
    for (int i = 0; i < 400 && !scripts.is_full(); ++i) {
      scripts.place({"more " + std::to_string(i), 10}, 0, 40, 30);
    }
    CHECK(scripts.is_full());
    scripts.begin_frame();
    CHECK(scripts.side() == 1024);
    CHECK(notes.sides == std::vector<int>{512, 1024});
  }

  TEST_CASE("what the typefaces have is theirs, all else the writer's") {
    Notes notes;
    Fonts& all = typefaces();
    REQUIRE(all.build(2, 1, ""));
    CHECK_FALSE(all.is_foreign("محمد"));  // nobody there who could write it
    all.any_script().set_writer(&notes);
    for (const char* name : {"Ana", "Zoë", "Łucja", "5 × 3 → 15"}) {
      CAPTURE(name);
      CHECK_FALSE(all.is_foreign(name));
    }
    for (const char* name : {"محمد", "נועה", "Оксана", "Γιώργος", "Nguyễn", "王秀英", "ਗੁਰਪ੍ਰੀਤ", "🍎",
                             "e\u0301"}) {
      CAPTURE(name);
      CHECK(all.is_foreign(name));
      CHECK(all.measure(Type::strong, name).w > 0);
    }
    CHECK_FALSE(all.wants_rebuild());  // no atlas is made for letters it cannot hold
    all.any_script().set_writer(nullptr);
  }

  TEST_CASE("a first visit's typefaces hold every letter of our languages and every sign") {
    Notes notes;
    Fonts& first = nthtree::test::new_typefaces(".first");
    first.any_script().set_writer(&notes);
    std::string letters = "…−–—±×≈≥≤→←°\u00a0⟦⟧✓";
    int files = 0;
    for (const auto& file : std::filesystem::directory_iterator(
             nthtree::test::in_project("assets/languages"))) {
      std::ifstream text(file.path());
      letters.append(std::istreambuf_iterator<char>(text), {});
      ++files;
    }
    REQUIRE(files >= 3);
    REQUIRE(first.build(2, 1, letters));
    CHECK_FALSE(first.is_foreign(letters));
    first.measure(Type::body, letters);
    CHECK_FALSE(first.wants_rebuild());  // all of them stand in the atlas
  }

  TEST_CASE("a name whose letters come only with the whole typefaces is the writer's until then") {
    Notes notes;
    Fonts& first = nthtree::test::new_typefaces(".first");
    first.any_script().set_writer(&notes);
    REQUIRE(first.build(2, 1, ""));
    first.measure(Type::body, "Łucja");
    REQUIRE(first.wants_rebuild());  // as for any letter that was not expected
    REQUIRE(first.rebuild());
    CHECK(first.is_foreign("Łucja"));
    CHECK_FALSE(first.is_foreign("Zoé"));
    first.measure(Type::body, "Łucja");
    CHECK_FALSE(first.wants_rebuild());  // not at every frame
    auto [regular, bold] = nthtree::test::face_bytes();
    first.take(std::move(regular), std::move(bold));
    REQUIRE(first.wants_rebuild());
    REQUIRE(first.rebuild());
    CHECK_FALSE(first.is_foreign("Łucja"));
    CHECK(first.font(Type::strong)->FindGlyphNoFallback(0x141) != nullptr);
    std::tie(regular, bold) = nthtree::test::face_bytes();
    first.take(std::move(regular), std::move(bold));
    CHECK_FALSE(first.wants_rebuild());  // nothing was missing: the letters that stand are the same
  }

  TEST_CASE("a list of names in other scripts is drawn from the second texture") {
    Notes notes;
    Fonts& all = typefaces();
    all.any_script().set_writer(&notes);
    HeadlessFrame frame(all, {.pixel_ratio = 2});
    frame.draw([&](Ui& ui) {
      open_screen(ui, {.key = "who", .title = "Who"});
      choice_row(ui, {.id = "a", .label = "محمد"});
      choice_row(ui, {.id = "b", .label = "Ana"});
      close_screen(ui);
    });
    all.any_script().set_writer(nullptr);
    REQUIRE(notes.written.size() == 1);
    CHECK(notes.written[0].text == "محمد");
    CHECK(frame.clipped_texts().empty());
    int quads = 0;
    for (const ImDrawList* list : frame.ui().painter().lists()) {
      for (const ImDrawCmd& command : list->CmdBuffer) {
        if (command.TextureId && command.ElemCount > 0) quads += static_cast<int>(command.ElemCount) / 6;
      }
    }
    CHECK(quads == 1);
  }

  TEST_CASE("a name from right to left is set apart from the sentence around it") {
    CHECK(isolated("Ana") == "Ana");
    CHECK(isolated("Оксана") == "Оксана");
    CHECK(isolated("محمد") == "\u2068محمد\u2069");
    CHECK(isolated(isolated("נועה")) == "\u2068נועה\u2069");
  }
}
