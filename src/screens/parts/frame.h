// SPDX-License-Identifier: Apache-2.0
//
// What every screen is handed, and what stands around every screen: the head with the person's
// name, the state of what is not sent yet, the notices nobody may miss.
//
// Private to this folder. A screen function reads the frame, draws, and adds intents.
//
//   void draw_help(Frame& frame) {
//     open(frame, {.key = "help", .title = tr("help.title")});
//     paragraph(frame.ui, tr("help.all"));
//     finish(frame);
//   }
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "ledger/season.h"
#include "screens/intents.h"
#include "screens/parts/advice_cache.h"
#include "screens/session.h"
#include "widgets/widgets.h"

namespace nthtree::screens {

using widgets::Glyph;
using widgets::Kind;
using widgets::number;
using widgets::Tone;
using widgets::tr;
using widgets::tr_count;

class Frame {
 public:
  Frame(widgets::Ui& u, const ledger::Season& s, const Session& session_now, AdviceCache& r,
        Intents& out)
      : ui(u), season(s), session(session_now), cache(r), out_(out) {}

  widgets::Ui& ui;
  const ledger::Season& season;
  const Session& session;
  AdviceCache& cache;
  widgets::Bar bar;

  void want(Intent intent);
  void go(ScreenId screen, std::string block = {}, std::string person = {});

  // The block and the person that the present screen is about; the session's own otherwise.
  const std::string& block_id() const;
  const ledger::BlockSeason* block() const;   // null where unknown
  const orchard::Block* settings() const;     // null where its settings have not arrived
  const std::string& person_id() const;
  const orchard::Person* me() const;          // who holds the phone; null before they said so
  std::int64_t now_ms() const { return session.now_ms; }
  std::int64_t today() const { return season.day_of(session.now_ms); }
  bool us_units() const;
  // What stands typed in a field and is not yet kept; `otherwise` where nobody touched it.
  std::string typed(const std::string& id, std::string otherwise = {}) const;

 private:
  Intents& out_;
};

struct Head {
  std::string key;
  std::string title;
  std::vector<widgets::Action> actions;
  bool back = true;  // false only where there is nowhere to go back to
  bool full = false;   // tables and charts: as wide as it gets (widgets/screen_frame.h)
  std::string pinned;  // label of the number that stays in sight
};

// Opens the screen and takes care of back, person and status. The action tapped is in frame.bar.
void open(Frame& frame, const Head& head);
// Closes it and draws the toast.
void finish(Frame& frame);

// In a tab that only looks, because another one writes: says so. Part of every screen's head; the
// count, which fills its screen, draws it among its own.
void other_tab(Frame& frame);

// A yes/no question of this screen, drawn after finish: open while session.asking == id. True
// once, when the answer is yes; no closes it.
bool asked(Frame& frame, const std::string& id, const std::string& title, const std::string& text,
           const std::string& yes, const std::string& no);

}  // namespace nthtree::screens
