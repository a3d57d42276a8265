// SPDX-License-Identifier: Apache-2.0
//
// Pieces that several screens share: the block line, a verdict card, a standing as a picture, the
// state of the last save.
//
// Private to this folder.
#pragma once

#include <string>

#include "advice/next/next_tree.h"
#include "advice/judged/standing.h"
#include "advice/judged/verdict.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

// The block, its variety, and a way to another one.
void block_line(Frame& frame);

// The verdict as word, arrow and number with one plain sentence. No statistics.
void verdict_here(Frame& frame, const std::string& id, const advice::Verdict& verdict, bool large,
                  bool live);

// Mean left on a tree against the band, as one line of a picture with its words.
widgets::BandRow band_row(const std::string& name, const advice::Standing& standing,
                          const advice::Verdict& verdict);
void band_of(const advice::Standing& standing, double tolerance, widgets::BandChart& chart);

// "Saved on this phone", "Not saved" with what to do. Says saved only when the shell did.
void save_state(Frame& frame);
// How the app gets to the home screen of this phone; nothing where it is there.
void install(Frame& frame);
// A farm without a rule for its clock takes over this phone's, unless that is elsewhere.
void set_clock(const Frame& frame, ledger::FarmSettings& farm);

// The next tree of a person in a block, from their last tagged tree on.
// Of the block at hand; null for somebody without a count there.
const advice::AgainstCrew* against_crew_of(Frame& frame, const std::string& person);
const advice::NextTree& next_tree_of(Frame& frame, const std::string& person);

// The row whose end the present person comes to next; 0 where all are pruned.
int row_at_hand_of(Frame& frame);

// What the lead told this person in this block, on their own phone: today's and yesterday's word.
void lead_said(Frame& frame);

// A pad of its own height in a tally of buds: it counts when the finger lands, as the count pad
// does. With large letters pads would fill the screen and leave nothing to drag it by: then a plain
// button. Gives the taps.
int tally_pad(Frame& frame, const std::string& id, const std::string& label, int count);

// A menu row that leads to another screen.
void menu_row(Frame& frame, const std::string& id, const std::string& label, ScreenId to,
              Glyph glyph, const std::string& trailing = {});
// The same to a destination (parts/destinations.h), by its own name and glyph.
void menu_row(Frame& frame, const std::string& id, ScreenId to, const std::string& trailing = {});

// The end of every menu: safety, help, settings.
void last_menu_rows(Frame& frame);

// Half-done counting of this person, if any, as the first thing to go on with.
enum class Resume { in_notice, in_bar };  // where the button for it stands
void unfinished(Frame& frame, Resume where = Resume::in_notice);

// Phones whose records claim to be from the future, a notice each: kept, and left out until then.
void clocks_ahead(Frame& frame);
void go_on_counting(Frame& frame);
// This person's half-done count; null where there is none, or nothing in it.
const CountDraft* half_done_count(const Frame& frame);

// The records chosen to be handed over, as a file.
void save_file_row(Frame& frame);

// What the farm's minutes a day are spent on here; in words, empty where none were planned.
const advice::MinutesPlan& plan_here(Frame& frame);
std::string plan_sentence(const advice::MinutesPlan& plan);

double tolerance_of(const Frame& frame);
// The block's variety as this farm has it.
orchard::Variety variety_of(const Frame& frame, const orchard::Block& block);

// Two parts of a page: one below the other, or on a lying phone and a tablet one beside the other.
template <typename First, typename Second>
void side_by_side(Frame& frame, First&& first, Second&& second) {
  if (frame.ui.two_columns()) return frame.ui.row({1, 1}, first, second);
  first();
  second();
}

}  // namespace nthtree::screens
