// SPDX-License-Identifier: Apache-2.0
//
// What happened outside the screens: on the disk, on the network, in the browser, in the demo. The
// app tells it as one kind of value; `apply` is the only place that puts it into the session. So
// screens and session are moved by two things alone, intents (intents.h) and news.
//
// Invariants: a count's draft, a branch's draft and a form close with `Writing` and with nothing
// else, so that what the ledger refused still stands where it was typed; nothing says "saved"
// before `Saved`.
//
//   if (apply(session, season, Saved{})) platform.request_frame();
#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "ledger/season.h"
#include "screens/intents.h"
#include "screens/session.h"

namespace nthtree::screens {

struct Clock { std::int64_t now_ms = 0; };  // before each frame

// --- opening
struct Started {
  std::vector<orchard::Variety> varieties;
  std::string language;  // of the browser, as far as there is one of ours
  bool us_region = false, can_scan = false;
  bool stillness = false;  // the person asked for less motion
  std::string time_zone;   // the rule of this phone's clock, see base/time_zone.h; may be empty
  std::int64_t made_ms = 0;  // when the program was made, to the day; 0: unknown
  std::string code;      // a join code that came with the address
};
struct RecordsRead {
  std::int64_t records = 0;  // more of them; see Loaded
  std::int64_t there = 0;    // so many the store is thought to hold; 0: as said before, or unknown
};
struct LoadFailed { std::string trouble; };
struct LoadTriedAgain {};
struct Loaded {  // the season is whole
  std::string memory;  // of write_memory; empty on a new phone
  std::vector<std::pair<std::string, std::string>> drafts;  // person id, text of write_drafts
  bool joined = false;
  bool can_share = false;  // asked late: to ask takes a browser longer than most of a start
};
// The season's people, from a copy, while the season is being read: whoever takes the phone may say
// so and unlock it. What else the session keeps is as of then; Loaded comes when all is read.
struct PeopleKnown { Loaded so_far; };

// --- saving
struct Writing {  // the records are made and on their way to the disk
  SaveRecords::From from = SaveRecords::From::nothing;
  ledger::Body body;  // the first of them
  std::optional<ledger::RecordId> record;
};
struct Refused { ledger::Body body; std::string trouble; };  // by the ledger: nothing was made
struct Saved { std::string becomes_person; };  // durable; who now holds the phone, if it changes
struct NotSaved { std::string trouble; };      // as in LastSave; they wait and are tried again
struct WritingAgain {};                       // what waited is on its way once more
struct DiskFull {};

// --- the hub
struct SyncTold {
  SyncSummary sync;
  ledger::DeviceKey device;    // this phone's,
  std::uint64_t on_hub = 0;    // whose records 1 … are on the hub
};
struct RecordsArrived {};      // the season has more, or was made anew
struct FarmJoined {};

// --- locks
struct LocksTold { Locks locks; };
struct Unlocked { std::string person; };  // who holds the phone from now on
struct PinWrong { std::int64_t until_ms = 0; };
struct LockedUp {};        // the phone lay there too long: nobody holds it
struct LockUnusable {};    // the browser cannot keep a PIN here

// --- the phones that have joined
struct PhonesAsked {};
struct PhonesTold {
  std::int64_t own = 0;
  std::vector<JoinedPhone> list;
  bool backup_old = false;
  std::int64_t backup_ms = 0;
};
struct PhonesRefused { std::string trouble; };  // as in Phones
struct CodeGiven { std::string code; int minutes = 0; };
// How many records count no more, and again; how many old names went, -1 where none were asked for.
struct PhoneChanged { std::int64_t set_aside = 0, counted = 0, forgotten = -1; };

// --- the browser
struct StorageTold { StorageSummary storage; };  // but for `full`, which writing tells
struct UpdateWaits { std::string version; };
struct Told { std::string key; std::string value; bool warning = false; };  // a toast
struct ToastOver {};

// --- from phone to phone, out
struct BatchesMeasured { std::array<BatchSize, batches> batch_sizes; Batch likely = Batch::today; };
struct CodesMade { int codes = 0; std::string trouble; };  // 0: there are none, trouble says why
struct CodeDrawn { int code = 1; int modules_a_side = 0; std::vector<bool> modules; };
struct RoundBegun {};

// --- and in
struct FarmOffered { std::string name; };  // another farm's records: asked whether to take them
struct Taking { bool nothing = false; };   // what came in is read; nothing: it held no line at all
struct TakenIn { Taken part; bool last = true; };
struct TakeRefused { std::string trouble; };
struct TakeWaits { std::string trouble; };
struct CameraRead { int have = 0, count = 0, damaged = 0; std::vector<int> missing; };
struct CameraSaw { std::string trouble; };  // what it saw was of no use; it goes on looking
struct CameraEnded { std::string trouble; bool whole = false; };  // whole: a chain is read
struct CodeScanned { std::string code; };  // a join code

struct TagScanned { std::string text; };   // the code of a printed tag, or of something else

// --- a weather station's file
struct StationRead { std::string text; bool too_large = false; };

// --- the demo farm
struct DemoOpened {};
struct DemoLeft { Session before; };

using News =
    std::variant<Clock, Started, RecordsRead, LoadFailed, LoadTriedAgain, PeopleKnown, Loaded,
                 Writing, Refused, Saved, NotSaved, WritingAgain, DiskFull, SyncTold,
                 RecordsArrived, FarmJoined, LocksTold, Unlocked, PinWrong, LockedUp,
                 LockUnusable, PhonesAsked, PhonesTold, PhonesRefused, CodeGiven, PhoneChanged,
                 StorageTold, UpdateWaits, Told, ToastOver, BatchesMeasured, CodesMade, CodeDrawn,
                 RoundBegun, FarmOffered, Taking, TakenIn, TakeRefused, TakeWaits, CameraRead,
                 CameraSaw, CameraEnded, CodeScanned, TagScanned, StationRead, DemoOpened,
                 DemoLeft>;

// True where the screen may look different now, so that a frame is due.
bool apply(Session& session, const ledger::Season& season, const News& news);

}  // namespace nthtree::screens
