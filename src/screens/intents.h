// SPDX-License-Identifier: Apache-2.0
//
// What a screen wants: values, given back by draw(). A screen never writes, sends or stores.
//
// `apply` makes the changes that touch the session alone (navigation, drafts, typed fields,
// preferences). The app calls it for every intent, and does the rest for those marked "app"; what
// came of it reaches the session as news (news.h).
//
//   for (const Intent& intent : draw(…)) { apply(session, season, intent); app.run(intent); }
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "ledger/season.h"
#include "screens/session.h"

namespace nthtree::screens {

// --- moving about
struct Go { Stop to; };                 // one deeper
struct Replace { Stop to; };            // instead of the present screen
struct Home {};                         // the stack becomes the home screen
struct Back {};
struct ChoosePerson { std::string person; };
struct ChooseBlock { std::string block; };

// --- locks (app); the digits typed stand in the field "pin"
struct Unlock { std::string person, pin; bool drop = false; };  // drop: takes the PIN away
struct UnlockByPhone { std::string person; };
struct SetPin { std::string pin; };
struct UsePhoneLock { bool on = true; };
struct ForgetPin { std::string person; };  // of another, by a manager
struct PinDigit { char digit = '0'; };     // as Digit

// --- one count; the app also writes the draft to the phone, and buzzes
struct OpenCount {                      // a draft of the same purpose and tree is resumed
  CountPurpose purpose = CountPurpose::tag;
  std::string block;
  orchard::TreeAddress tree;
  std::string exercise = {};            // for a counting exercise: its id and the round
  int round = 0;
};
struct Taps { int each = 1; int times = 1; };   // each: +1, +5, -1
struct UndoTap {};
struct NextLimb {};
struct DrawLimbs { bool again = false; };       // number the limbs typed, draw; again: once more
struct ChooseSize { int size = -1; };           // ledger::SizeClass
struct Digit { char digit = '0'; };             // '0' … '9', 'b' rubs out, 'c' clears
struct ChooseWay { CountWay way = CountWay::tap; };
struct ChooseNumber { bool second = false; };   // which of the two numbers the keypad fills
struct MoveTree { int rows = 0; int trees = 0; };
struct SetTree { orchard::TreeAddress tree; };
struct StartMend { ledger::RecordId record; };  // count the same tree again after taking more
struct DropDraft {};                            // after the person said yes
struct FinishPractice {};                       // in place of saving, in practice mode

// --- one branch of buds; the app writes the draft as well
struct OpenBuds { std::string block; orchard::TreeAddress tree; ledger::BranchPosition position; };
struct BudTaps { BudKind kind = BudKind::spur_floral; int times = 1; };
struct UndoBud {};
struct DropBuds { bool practised = false; };    // practised: tell that nothing was recorded
struct Ask { std::string question; };           // a yes/no question; empty: answered

// --- typed fields
struct SetField { std::string field; std::string value; };
struct TryFields { int wrong = 0; };            // show every error
struct ClearFields {};
struct SetFilter { std::string text; };
struct OpenReason { bool open = false; };
struct SetDay { std::int64_t day = 0; };
struct SortBy { std::string table; Sorting by; };
struct GoToDestination { Stop to; };    // the stack becomes the home screen and, where it is
                                        // another one, this above it

// --- records (app): written in this order in one transaction, author = session.person unless
// `author` is given. What they came from closes with the news that they were written.
struct SaveRecords {
  std::vector<ledger::Body> bodies;
  std::optional<ledger::RecordId> replaces;  // for a single body
  std::string author;
  enum class From { nothing, fields, count, buds } from = From::nothing;
};
struct TrySaveAgain {};

// --- settings (the app writes the preferences to the phone)
struct SetPreferences { Preferences preferences; };

// --- farm (app)
struct JoinFarm { std::string code; };
struct StartFarm { ledger::FarmSettings farm; orchard::Person manager; };
struct LookAtDemo {};
struct LeaveDemo {};

// --- the phones that have joined the hub (app; the hub decides whether this phone may)
struct ListPhones {};
struct ChangePhone {  // what is empty stays
  std::int64_t id = 0;
  std::optional<std::string> name, person;
  std::optional<orchard::Role> role;
  bool withdraw = false;
  std::optional<std::int64_t> set_aside_since_ms;  // what it brought since then counts no more
  bool count_again = false;                        // takes that back
};
struct GiveCode { orchard::Role role = orchard::Role::pruner; std::string person, name; };
struct ForgetNames { std::string person; };  // that a person had before the present one

// --- files, paper, network (app)
// counts: a table for people; records: a table of everything; json: what another phone reads
enum class ShareForm { counts, records, json };
struct Share { ShareForm form = ShareForm::json; };
struct PrintReport { std::string html; };
struct SendText { std::string text; };  // to a messenger, or to be pasted into one
struct ImportFile {};
struct StartScan {};
struct StopScan {};

// --- a weather station's file (app)
struct PickStation {};
struct StationKept { std::string head; orchard::StationColumns columns; };  // and put away
struct StationAway {};

// --- from phone to phone (app)
struct ChooseBatch { Batch batch = Batch::today; };  // its codes are made at once
struct HandOver { bool sheet = false; };  // the chosen batch, as a file
struct PauseCodes { bool on = true; };
struct SetPace { int pace = usual_pace; };  // index of code_ms
struct ShowCode { int code = 1; };          // this one, and stay there
struct TakeOffered {};                      // another farm's records, after the person said yes
struct SyncNow {};
struct ApplyUpdate {};
struct AskPersistence {};
struct Install {};    // onto the home screen; the browser asks
struct ReadAgain {};  // the store, which could not be read
struct DismissToast {};
struct Announce { std::string text; bool assertive = false; };

using Intent = std::variant<
    Go, Replace, Home, Back, ChoosePerson, ChooseBlock, Unlock, UnlockByPhone, SetPin,
    UsePhoneLock, ForgetPin, PinDigit, OpenCount, Taps, UndoTap, NextLimb,
    DrawLimbs, ChooseSize, Digit, ChooseWay, ChooseNumber, MoveTree, SetTree, StartMend, DropDraft,
    FinishPractice, OpenBuds, BudTaps, UndoBud, DropBuds, Ask, SetField, TryFields, ClearFields,
    SetFilter, OpenReason, SetDay, SortBy, GoToDestination, SaveRecords, TrySaveAgain,
    SetPreferences, JoinFarm, StartFarm, LookAtDemo, LeaveDemo, ListPhones, ChangePhone, GiveCode,
    ForgetNames, Share, PrintReport, SendText, ImportFile, PickStation, StationKept,
    StationAway, StartScan, StopScan, ChooseBatch,
    HandOver, PauseCodes, SetPace, ShowCode, TakeOffered, SyncNow, ApplyUpdate, AskPersistence,
    Install, ReadAgain, DismissToast, Announce>;
using Intents = std::vector<Intent>;

// The part of an intent that changes the session alone. Intents that are the app's change
// nothing here beyond closing what they came from.
void apply(Session& session, const ledger::Season& season, const Intent& intent);

// True where the drafts changed by a tap, so that the app writes them to the phone (key: the
// person id, text: write_drafts). After SaveRecords the stored draft is removed only once the
// records are durable; until then a killed tab still finds the count.
bool touches_drafts(const Intent& intent);

// True where it asks for more than who takes the phone, and how the screen looks: nothing of it is
// done while session.reading.
bool needs_season(const Intent& intent);

// True where who, where or the preferences changed, so that the app writes write_memory.
bool touches_memory(const Intent& intent);

// Puts drafts read from the phone in place, by person; one whose count is already in the season
// (the tab died between the durable write and the removal) is dropped.
void restore_drafts(Session& session, const ledger::Season& season, const std::string& person,
                    std::string_view text);

}  // namespace nthtree::screens
