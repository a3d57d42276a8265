// SPDX-License-Identifier: Apache-2.0
// Stands in for what SDL asks of the page and this app never does: the whole screen for itself, a
// captured mouse pointer, a window's title, a loop that sleeps. Emscripten's own bring its old
// Browser object along, a tenth of the page's script. -1 is "not supported".
mergeInto(LibraryManager.library, {
  emscripten_request_fullscreen_strategy: function() { return -1; },
  emscripten_exit_fullscreen: function() { return -1; },
  emscripten_set_fullscreenchange_callback_on_thread: function() { return -1; },
  emscripten_request_pointerlock: function() { return -1; },
  emscripten_exit_pointerlock: function() { return -1; },
  emscripten_set_pointerlockchange_callback_on_thread: function() { return -1; },
  emscripten_set_window_title: function() {},
  emscripten_sleep: function() {},
});
