// Connects the page to the shell of the app. ShellRoutes.kt serves this file with the others in
// this folder as one script that shares one scope: bridge.js, page.js, drafts.js, forms.js, and
// this one last. It is not a module, because it has to run before anyone can press a button.

announce();
