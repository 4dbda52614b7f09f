package androidx.test.runner.intent

import android.app.Instrumentation
import android.content.Intent

/** Observes intents. */
interface IntentMonitor

/** Answers intents in place of other apps. */
fun interface IntentStubber {
    fun getActivityResultForIntent(intent: Intent): Instrumentation.ActivityResult?
}

/** Holds the intent monitor. */
object IntentMonitorRegistry {
    private var monitor: IntentMonitor? = null

    @JvmStatic
    fun registerInstance(monitor: IntentMonitor?) {
        this.monitor = monitor
    }

    @JvmStatic
    fun getInstance(): IntentMonitor = checkNotNull(monitor) { "no monitor is registered" }
}

/** Holds none: the tests answer intents through Robolectric. */
object IntentStubberRegistry {
    @JvmStatic
    fun isLoaded(): Boolean = false

    @JvmStatic
    fun getInstance(): IntentStubber = error("there is no intent stubber")
}
