// SPDX-License-Identifier: Apache-2.0
//
// The frame that screens draw into: a column that widgets fill from the top, rows inside it, the
// list of controls made on the way, and the taps that came since the last frame.
//
// Not a window system and no retained tree. Ui keeps from frame to frame only what a person would
// notice if it were lost: scroll places, row heights, the focused control.
//
// One frame consumes one run of taps on one control, in the order they were made, so that
// "+1 +1 save +1" can never be mixed up; has_pending() tells the shell to lay out again at once.
// Units: CSS pixels; times in milliseconds of elapsed time.
//
//   ui.begin_frame({.width = 390, .height = 844});
//   Bar bar = open_screen(ui, {.key = "home", .title = tr("home.title")});
//   if (button(ui, {.id = "count", .label = tr("home.count")})) intents.push_back(…);
//   close_screen(ui);
//   ui.end_frame();
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "widgets/control.h"
#include "widgets/fonts.h"
#include "widgets/painter.h"
#include "widgets/tap_counter.h"
#include "widgets/theme.h"

namespace nthtree::widgets {

struct FrameInput {
  float width = 390, height = 844;
  float safe_top = 0, safe_right = 0, safe_bottom = 0, safe_left = 0;  // notch, gesture bar
  std::int64_t now_ms = 0;
};

struct Announcement {
  std::string text;
  bool assertive = false;
};

class Ui {
 public:
  explicit Ui(Fonts& fonts);
  Ui(const Ui&) = delete;
  Ui& operator=(const Ui&) = delete;

  // --- frame (shell)
  void set_theme(const Theme& theme) { theme_ = theme; }
  const Theme& theme() const { return theme_; }
  void begin_frame(const FrameInput& input);
  void end_frame();  // hands the targets to the tap counter
  bool has_pending() const { return taps_.has_pending(); }
  bool animating() const { return animating_; }  // inertia or a toast: one more frame, please
  bool scrolled() const { return scrolled_; }    // the page stands elsewhere than a frame before
  const std::vector<Control>& controls() const { return controls_; }
  const std::vector<TextFit>& texts() const { return painter_.texts(); }
  std::vector<Announcement> take_announcements();
  TapCounter& tap_counter() { return taps_; }
  const TapCounter& tap_counter() const { return taps_; }
  Painter& painter() { return painter_; }
  Fonts& fonts() { return fonts_; }
  const FrameInput& input() const { return input_; }
  void focus(std::string_view id, bool by_keyboard);  // "" for none; scrolls it into view
  void reveal(std::string_view id);                   // the same without taking the focus
  void scroll_by(float distance);                     // wheel and arrow keys; positive: down

  // --- layout (widgets and screens)
  float width() const { return layout_.back().w; }   // of the present column or cell
  float x() const { return layout_.back().x; }
  float y() const { return layout_.back().y; }
  Rect take(float height);     // the next box of the column, full width; a gap follows
  // As take, but as tall as its row was in the frame before, so that neighbours match.
  Rect take_stretched(float height);
  Rect peek(float height) const;
  void space(float height);    // more air, beyond the gap
  float room() const;          // height left between here and the bottom edge of the view
  bool wide() const;           // landscape phone or larger: two columns pay
  bool two_columns() const;    // there, and on a tablet held upright
  bool desk() const;           // an office's screen: places at the side, tables, full width
  // Cells side by side, by weight. Each cell is a column; the row is as tall as the tallest.
  void open_row(const std::vector<float>& weights, float gap = -1, bool for_hand = false);
  void next_cell();
  void close_row();
  float row_height() const;    // of this row in the last frame; 0 the first time
  template <typename... Cells>
  void row(const std::vector<float>& weights, Cells&&... cells) {
    open_row(weights);
    bool first = true;
    ((first ? void(first = false) : next_cell(), cells()), ...);
    close_row();
  }
  // Same, but the last cell lies under the thumb: left-handed people get the cells mirrored.
  template <typename... Cells>
  void hand_row(const std::vector<float>& weights, Cells&&... cells) {
    open_row(weights, -1, true);
    bool first = true;
    ((first ? void(first = false) : next_cell(), cells()), ...);
    close_row();
  }
  // In a cell: what follows, up to close_sticky, stays in view while its longer neighbour before
  // it scrolls by, as far as it fits the view. The last thing in its cell.
  void open_sticky();
  void close_sticky();
  void open_fixed(float height);  // every widget until close_fixed takes exactly this, gap within
  void close_fixed();
  void open_card();             // paper around what follows; nests twice
  void close_card(Pair colors);

  // --- controls (widgets)
  // Adds to the list and, for things to do, to the targets. Returns its index.
  int add(Control control, const TouchTarget& target = {});
  int open_group(Control control);   // what follows is inside it
  // An empty text with the room of a hint of the frame before, for one that is put together anew in
  // each: a list that scrolls would ask the heap for every row.
  std::string roomy_text();
  void close_group();
  Control& at(int index) { return controls_[static_cast<std::size_t>(index)]; }
  int taps(std::string_view id);     // how often it was tapped; consumed
  std::optional<std::string> typed(std::string_view id);  // new text of a field; consumed
  bool is_pressed(std::string_view id) const { return taps_.pressed_id() == id; }
  bool is_focused(std::string_view id) const { return focus_by_keyboard_ && focus_id_ == id; }
  void announce(std::string text, bool assertive = false);
  // Announces a control's words when they are new or differ from the frame before.
  void announce_once(std::string_view id, std::string_view text, bool assertive = false);
  void move_to_end(std::string_view id);  // a group and what is in it, behind all others
  std::string next_text_id();        // id for controls that only read
  void draw_focus(const Rect& rect, std::string_view id);

  // --- the scrolling view (screen_frame.cpp, long_list.cpp)
  void open_view(std::string_view key, const Rect& view, float width_max);
  void close_view();
  const Rect& view() const { return view_; }
  float scroll() const { return scroll_; }
  // What is drawn from here on belongs to this screen (tap_counter.h: a new one takes no tap yet).
  void enter_screen(std::string_view key) { screen_ = key; }
  // A dialog of that id follows: nothing drawn so far can be hit.
  void cover(std::string_view dialog);

 private:
  struct Level {
    float x = 0, y = 0, w = 0;
    float bottom = 0;            // lowest edge wanted so far, without stretching
    std::vector<float> weights;  // rows only
    std::size_t cell = 0;
    float gap = 0, top = 0;
    bool mirrored = false;
    std::size_t card = 0;        // index of the card's background
    int row_index = -1;
    int takes = 0;               // boxes taken in this cell; in a row: the most of any cell
    float fixed = 0;             // height of every line, 0: as tall as it wants
  };
  struct View {
    float scroll = 0, content = 0;
    float shown = 0;  // the scroll of the frame before
    std::map<int, float> row_heights, sticky_heights;
  };
  void forget_controls();
  void end_cell();
  void place_cell(Level& level, float outer_x, float outer_w);
  void move_view();
  int row_index() const;  // of the row around the present cell; -1 outside of one
  void visit(std::string_view key);

  Fonts& fonts_;
  Painter painter_;
  TapCounter taps_;
  Theme theme_;
  FrameInput input_;
  std::vector<Level> layout_;
  std::vector<Control> controls_;
  std::vector<std::string> rooms_;  // of their hints before, not yet in use again
  std::vector<TouchTarget> targets_;
  std::vector<int> groups_;
  std::map<std::string, View, std::less<>> views_;
  std::string view_key_;
  std::string screen_;  // that what is drawn now belongs to
  std::vector<std::string> trail_;  // keys of the views behind the present one, which is the last
  Rect view_;
  float scroll_ = 0;
  int row_count_ = 0, text_count_ = 0;
  float sticky_top_ = 0;
  float velocity_ = 0;  // px per ms, after the finger left
  std::int64_t last_ms_ = 0;
  bool animating_ = false, scrolled_ = false;
  std::string focus_id_;
  bool focus_by_keyboard_ = false;
  std::string bring_id_;  // comes into view when it is next laid out
  std::optional<TapRun> run_;
  std::vector<Announcement> announcements_;
  std::map<std::string, std::string, std::less<>> said_, said_before_;
};

}  // namespace nthtree::widgets
