// SPDX-License-Identifier: Apache-2.0
//
// What a frame asks of the heap while a list of 5,000 rows scrolls: nothing. Whatever a frame needs
// has its room from the frames before, a row's description too.
#include <doctest/doctest.h>

#include <cstdlib>
#include <new>
#include <string>

#include "support/typefaces.h"
#include "widgets/headless.h"
#include "widgets/widgets.h"

namespace {

long allocations = 0;

}  // namespace

// Of the whole program; nothing but the count is added. Not inlined, or GCC takes free for the
// wrong way to end what new began.
[[gnu::noinline]] void* operator new(std::size_t bytes) {
  ++allocations;
  if (void* made = std::malloc(bytes)) return made;
  std::abort();
}
[[gnu::noinline]] void operator delete(void* made) noexcept { std::free(made); }
[[gnu::noinline]] void operator delete(void* made, std::size_t) noexcept { std::free(made); }

using namespace nthtree::widgets;

namespace {

constexpr int frames_counted = 100;

Fonts& list_fonts() {
  static Fonts& own = nthtree::test::new_typefaces();
  return own;
}

// The list alone, in words that need no heap of their own.
void draw_list(Ui& ui, int rows) {
  open_screen(ui, {.key = "list", .title = "Trees"});
  long_list(ui, {.id = "trees", .label = "Trees", .rows = rows, .row_height = 76}, [&](int row) {
    choice_row(ui, {.id = "t" + std::to_string(row), .label = "Tree " + std::to_string(row),
                    .detail = "counted", .trailing = "412", .position = row + 1,
                    .set_size = rows});
  });
  close_screen(ui);
}

// Allocations a frame while the list scrolls at 30 px a frame.
double scrolling(int rows) {
  HeadlessFrame frame(list_fonts(), {});
  const auto screen = [rows](Ui& ui) { draw_list(ui, rows); };
  frame.draw(screen);
  const auto scroll = [&] {
    for (int i = 0; i < frames_counted; ++i) {
      frame.ui().scroll_by(30);
      frame.ui().begin_frame({.width = 360, .height = 740, .now_ms = 10000 + 16 * i});
      screen(frame.ui());
      frame.ui().end_frame();
    }
  };
  scroll();  // buffers have their size then
  const long before = allocations;
  scroll();
  return static_cast<double>(allocations - before) / frames_counted;
}

}  // namespace

TEST_SUITE("widgets") {
  TEST_CASE("a frame of a scrolling list asks the heap for nothing, of 500 rows or of 5,000") {
    const double short_list = scrolling(500), long_list = scrolling(5000);
    MESSAGE("allocations a frame: ", short_list, " of 500 rows, ", long_list, " of 5,000");
    CHECK(short_list == 0);
    CHECK(long_list == 0);
  }
}
