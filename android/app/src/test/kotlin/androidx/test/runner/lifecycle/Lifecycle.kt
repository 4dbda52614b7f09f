package androidx.test.runner.lifecycle

import android.app.Activity

/** How far an activity is. */
enum class Stage { PRE_ON_CREATE, CREATED, STARTED, RESUMED, PAUSED, STOPPED, RESTARTED, DESTROYED }

/** How far an application is. */
enum class ApplicationStage { PRE_ON_CREATE, CREATED }

/** Hears how far activities are. */
fun interface ActivityLifecycleCallback {
    fun onActivityLifecycleChanged(activity: Activity, stage: Stage)
}

/** Knows how far activities are. */
interface ActivityLifecycleMonitor {
    fun addLifecycleCallback(callback: ActivityLifecycleCallback)
    fun removeLifecycleCallback(callback: ActivityLifecycleCallback)
    fun getLifecycleStageOf(activity: Activity): Stage
    fun getActivitiesInStage(stage: Stage): Collection<Activity>
}

/** Knows how far applications are. */
interface ApplicationLifecycleMonitor

/** Holds the monitor of activities. */
object ActivityLifecycleMonitorRegistry {
    private var held: ActivityLifecycleMonitor? = null

    @JvmStatic
    fun registerInstance(monitor: ActivityLifecycleMonitor?) {
        held = monitor
    }

    @JvmStatic
    fun getInstance(): ActivityLifecycleMonitor = checkNotNull(held) { "no monitor is registered" }
}

/** Holds the monitor of applications. */
object ApplicationLifecycleMonitorRegistry {
    private var held: ApplicationLifecycleMonitor? = null

    @JvmStatic
    fun registerInstance(monitor: ApplicationLifecycleMonitor?) {
        held = monitor
    }

    @JvmStatic
    fun getInstance(): ApplicationLifecycleMonitor = checkNotNull(held) { "no monitor is registered" }
}
