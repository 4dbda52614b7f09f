package androidx.test.runner.intent

import android.app.Instrumentation
import android.content.Intent

/** Is told of intents. */
interface IntentMonitor

/** Answers intents in place of other apps. */
fun interface IntentStubber {
    fun getActivityResultForIntent(intent: Intent): Instrumentation.ActivityResult?
}

/** Holds the monitor of intents. */
object IntentMonitorRegistry {
    private var held: IntentMonitor? = null

    @JvmStatic
    fun registerInstance(monitor: IntentMonitor?) {
        held = monitor
    }

    @JvmStatic
    fun getInstance(): IntentMonitor = checkNotNull(held) { "no monitor is registered" }
}

/** Holds nobody: the tests here answer intents by Robolectric's own means. */
object IntentStubberRegistry {
    @JvmStatic
    fun isLoaded(): Boolean = false

    @JvmStatic
    fun getInstance(): IntentStubber = error("nobody answers intents here")
}
